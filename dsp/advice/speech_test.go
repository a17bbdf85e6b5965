package advice_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/advice"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/db"
	"rollready/dsp/internal/signal"
)

// voiceHz is the rate of the voices: enough for speech, and quick.
const voiceHz = 16000

// listen runs a voice through the chain and the meter, reads it ten times a
// second, and gives every sentence in turn.
func listen(s chain.Settings, scale camera.Scale, voice []float32) (said []advice.Advice) {
	v := dsp.DefaultView()
	v.Camera = scale
	m, c, a := dsp.NewMeter(voiceHz, 1, v), chain.New(voiceHz, 1), advice.New()
	c.Set(s)
	for at := 0; at+voiceHz/10 <= len(voice); at += voiceHz / 10 {
		in := voice[at : at+voiceHz/10]
		out := append([]float32(nil), in...)
		c.Process(out)
		m.Process(in, out)
		now := a.Advise(m.Reading(), s, scale)
		if len(said) == 0 || said[len(said)-1] != now {
			said = append(said, now)
		}
	}
	return said
}

func codes(said []advice.Advice) (c []advice.Code) {
	for _, a := range said {
		c = append(c, a.Code)
	}
	return c
}

// speech is 40 seconds of voice with its highest peak at the given level, over a
// quiet room.
func speech(peakDBFS float64, seed uint64) []float32 {
	return signal.Add(signal.Speech(db.ToAmplitude(peakDBFS), voiceHz, 40*voiceHz, seed), signal.Noise(0.0005, 40*voiceHz, seed))
}

func stopped(x []float32, ceiling float32) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = max(-ceiling, min(v, ceiling))
	}
	return y
}

func TestAdviceDoesNotFlickerOnSpeech(t *testing.T) {
	for seed := range uint64(2) {
		loud, quiet := speech(-10, seed), speech(-30, seed)
		for _, c := range []struct {
			voice []float32
			gain  float64
			want  advice.Code
		}{{loud, 2, advice.SafeToRoll}, {loud, 12, advice.LowerGain}, {quiet, 0, advice.RaisePreamp}, {loud, -20, advice.RaiseGain}} {
			said := listen(chain.Settings{GainDB: c.gain}, camera.Default, c.voice)
			require.Equal(t, advice.Listening, said[0].Code)
			require.Equal(t, c.want, said[len(said)-1].Code)
			require.LessOrEqual(t, len(said), 4, "40 seconds of speech: %v", said)
		}
	}
}

// Even on the edge of a limit the sentence changes a few times at most.
func TestAdviceDoesNotFlickerOnTheEdge(t *testing.T) {
	voice := speech(-12, 3)
	for _, gain := range []float64{0, 1, 2, 6, 7} {
		said := listen(chain.Settings{GainDB: gain}, camera.Default, voice)
		require.LessOrEqual(t, len(said), 6, "gain %g: %v", gain, codes(said))
	}
}

func TestAdviceTellsWhereItClips(t *testing.T) {
	loud := speech(-6, 2)
	for i := range loud {
		loud[i] *= 4
	}
	for name, c := range map[string]struct {
		x    []float32
		want advice.Code
	}{
		"at the converter":     {stopped(loud, 1), advice.InputClipped},
		"before the interface": {stopped(loud, 0.3), advice.FlatTopped},
	} {
		said := listen(chain.Settings{GainDB: -6}, camera.Default, c.x[:10*voiceHz])
		require.Equal(t, c.want, said[len(said)-1].Code, "%s: %v", name, codes(said))
		require.Equal(t, advice.Stop, said[len(said)-1].Severity)
	}
}

func TestAVerdictOutlivesPauses(t *testing.T) {
	voice := speech(-10, 1)
	room := signal.Noise(0.0005, 20*voiceHz, 9)
	x := append(append(append(append([]float32(nil), voice[:12*voiceHz]...), room[:6*voiceHz]...), voice[:8*voiceHz]...), room...)
	require.Equal(t, []advice.Code{advice.Listening, advice.SafeToRoll}, codes(listen(chain.Settings{GainDB: 2}, camera.Default, x)))
}

func TestAPulledCableIsNoticed(t *testing.T) {
	x := append(append([]float32(nil), speech(-10, 1)[:10*voiceHz]...), make([]float32, 5*voiceHz)...)
	said := listen(chain.Settings{GainDB: 2}, camera.Default, x)
	require.Equal(t, advice.Silence, said[len(said)-1].Code)
}
