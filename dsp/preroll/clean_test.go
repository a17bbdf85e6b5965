package preroll

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
	"rollready/dsp/internal/scene"
	"rollready/dsp/verdict"
)

func quantile(x []float64, q float64) float64 {
	sorted := slices.Sorted(slices.Values(x))
	return sorted[int(q*float64(len(sorted)-1)+0.5)]
}

// take is a room and a voice in it, one signal per channel.
type take struct {
	rateHz      int
	room, voice [][]float64
}

// in puts a voice into room noise of a level and colour, on so many channels.
func in(voice []float64, noiseDBFS float64, channels, rateHz int, colour func([]float64) []float64) take {
	t := take{rateHz: rateHz}
	for c := range channels {
		noise := colour(scene.Noise(noiseDBFS, 5+float64(len(voice))/float64(rateHz), rateHz, uint64(c+1)))
		noise = scene.Scale(noise, noiseDBFS-rms(noise))
		cut := 5 * rateHz
		t.room = append(t.room, noise[:cut])
		t.voice = append(t.voice, scene.Add(voice, noise[cut:]))
	}
	return t
}

func white(x []float64) []float64 { return x }

// pink falls by 3 dB per octave within 0.05 dB above 9 Hz at 44.1 kHz
// (P. Kellet's three-pole approximation, from memory).
func pink(x []float64) []float64 {
	y := make([]float64, len(x))
	var a, b, c float64
	for i, w := range x {
		a = 0.99765*a + w*0.0990460
		b = 0.96300*b + w*0.2965164
		c = 0.57000*c + w*1.0526913
		y[i] = a + b + c + w*0.1848
	}
	return y
}

func (t take) check(tb testing.TB, setup Setup) Result {
	tb.Helper()
	c := New(t.rateHz, len(t.room), setup)
	scene.InBlocks(scene.Interleave(t.room...), len(t.room), c.RoomTone)
	scene.InBlocks(scene.Interleave(t.voice...), len(t.voice), c.Voice)
	result, err := c.Result()
	require.NoError(tb, err)
	return result
}

// at is a setup whose gain puts speech peaks of a level into the window.
func at(peakDBTP float64) Setup {
	s := Setup{Camera: camera.Default}
	s.Chain.GainDB = s.Camera.Middle() - peakDBTP
	return s
}

// The verdict on clean speech is ready and nothing is found: male and female,
// quiet and lively, at every rate, mono and stereo.
func TestCleanSpeechIsReady(t *testing.T) {
	for _, s := range some(t, speakers) {
		for _, c := range some(t, []struct {
			rateHz, channels int
			peak, noise      float64
		}{{44100, 1, -9, -62}, {48000, 1, -30, -80}, {48000, 2, -12, -66}, {48000, 2, -6, -70}, {96000, 2, -20, -75}}) {
			r := in(speech(t, s, c.peak, c.rateHz), c.noise, c.channels, c.rateHz, white).check(t, at(c.peak))
			require.Empty(t, r.Findings, "%s %+v", s.name, c)
			require.Equal(t, verdict.Ready, r.Verdict)
		}
	}
	for i, rate := range some(t, []int{88200, 176400, 192000}) {
		r := in(speech(t, speakers[i], -9, rate), -65, 1+i%2, rate, white).check(t, standard())
		require.Empty(t, r.Findings, "%s at %d Hz", speakers[i].name, rate)
	}
}

// Clean speech as a synthesiser gives it, its pauses digital silence.
func TestDrySpeechIsReady(t *testing.T) {
	for _, s := range some(t, speakers) {
		x, from := spoken(t, s)
		x = scene.Scale(x, -9-sortedPeaks(x, int(from)))
		r := take{rateHz: int(from), room: [][]float64{scene.Silence(5, int(from))}, voice: [][]float64{x}}.check(t, standard())
		require.Empty(t, r.Findings, s.name)
	}
}

// Signal to noise within 1.5 dB from 5 to 50 dB, against the speech's active
// level after ITU-T P.56 and against its plain rms.
func TestSNR(t *testing.T) {
	worst := 0.0
	for _, s := range some(t, speakers) {
		x := speech(t, s, -9, 48000)
		active := activeLevel(x, 48000)
		for name, colour := range map[string]func([]float64) []float64{"white": white, "pink": pink} {
			for _, snr := range some(t, []float64{5, 10, 15, 20, 25, 30, 35, 40, 45, 50}) {
				r := in(x, active-snr, 1, 48000, colour).check(t, at(-9))
				require.InDelta(t, snr, float64(r.Voice.SNRDB), 1.5, "%s in %s noise", s.name, name)
				require.InDelta(t, snr+rms(x)-active, float64(r.Voice.SNRDB), 1.5, "%s in %s noise, rms", s.name, name)
				worst = max(worst, math.Abs(snr-float64(r.Voice.SNRDB)))
			}
		}
	}
	t.Logf("worst deviation from P.56: %.2f dB", worst)
}

// The recommended gain within 1 dB of the truth: what brings the true peak
// that 1 % of the blocks exceed to the middle of the window on the camera's
// scale, once the hands have done their part. A click in the voice changes nothing.
func TestRecommendedGain(t *testing.T) {
	for _, s := range some(t, speakers) {
		for _, c := range some(t, []struct{ peak, gain, offset float64 }{{-20, 3, -4}, {-9, 0, 0}, {-25, 0, 0}, {-25, 6, 0}, {-14, -2, 5}, {-40, 0, 2}}) {
			x := speech(t, s, c.peak, 48000)
			x[100000] += math.Copysign(0.3, x[100000])
			setup := Setup{Camera: camera.Default}
			setup.Camera.OffsetDB, setup.Chain.GainDB = c.offset, c.gain
			r := in(x, c.peak-60, 1, 48000, white).check(t, setup)
			hands := 0.0 // what the findings ask for at the interface comes first
			for _, f := range r.Findings {
				if f.Place == verdict.Interface {
					hands += float64(f.ByDB)
				}
			}
			want := setup.Camera.Middle() - c.offset - c.peak - hands
			require.InDelta(t, want, float64(r.Recommend.OutputGainDB), 1, "%s %+v", s.name, c)
		}
	}
}

// The gain is held back where the loudest moments would overload: the window
// is worth less than a clean take.
func TestGainDoesNotOverload(t *testing.T) {
	x := speech(t, speakers[0], -20, 48000)
	for i := 240000; i < 264000; i++ { // half a second of shouting, 14 dB louder
		x[i] *= 5
	}
	r := in(x, -80, 1, 48000, white).check(t, at(-20))
	top := 0.0
	for _, v := range x {
		top = max(top, math.Abs(v))
	}
	require.LessOrEqual(t, 20*math.Log10(top)+float64(r.Recommend.OutputGainDB), -0.3)
}

// A high-pass is never so high that it costs the fundamental more than 1 dB,
// by the formula of Butterworth's response; rumble raises it, quiet lowers it.
func TestHighPassSuitsVoiceAndRoom(t *testing.T) {
	for _, f0 := range some(t, []float64{75, 90, 110, 140, 200}) {
		x := make([]float64, 480000)
		for k := 1.0; k < 20; k++ {
			x = scene.Add(x, scene.Sine(k*f0, -25-2*k, 30*k*k, 10, 48000))
		}
		for i := range x {
			x[i] *= math.Pow(math.Sin(2*math.Pi*1.5*float64(i)/48000), 2)
		}
		quiet := in(x, -75, 1, 48000, white)
		loud := in(x, -75, 1, 48000, white)
		shake := rumble(-35, 15, 48000)
		loud.room[0], loud.voice[0] = scene.Add(loud.room[0], shake[:240000]), scene.Add(loud.voice[0], shake[240000:])
		a, b := quiet.check(t, at(-20)), loud.check(t, at(-20))
		name := fmt.Sprintf("fundamental %g Hz", f0)
		require.EqualValues(t, 40, a.Recommend.HighPassHz, name)
		require.Greater(t, b.Recommend.HighPassHz, a.Recommend.HighPassHz, name)
		fc := float64(b.Recommend.HighPassHz)
		require.LessOrEqual(t, 10*math.Log10(1+math.Pow(fc/f0, 8)), 1.0, name)
	}
}

// Properties: gain moves every level, swapped channels swap results.
func TestProperties(t *testing.T) {
	x := speech(t, speakers[2], -20, 48000)
	base := in(x, -70, 2, 48000, pink)
	base.voice[1] = scene.Scale(base.voice[1], -6)
	one := base.check(t, standard())
	for _, gain := range []float64{-7, 5, 11} {
		setup := standard()
		setup.Chain.GainDB = gain
		more := base.check(t, setup)
		require.InDelta(t, float64(one.Voice.PeakDBFS)+gain, float64(more.Voice.PeakDBFS), 0.1)
		require.InDelta(t, float64(one.RoomTone.LevelDBA)+gain, float64(more.RoomTone.LevelDBA), 0.1)
		require.InDelta(t, float64(one.Voice.ShortTermLUFS)+gain, float64(more.Voice.ShortTermLUFS), 0.1)
		require.InDelta(t, float64(one.Voice.SNRDB), float64(more.Voice.SNRDB), 0.1)
		require.InDelta(t, float64(one.Recommend.OutputGainDB), float64(more.Recommend.OutputGainDB), 0.1)
	}
	slices.Reverse(base.room)
	slices.Reverse(base.voice)
	swapped := base.check(t, standard())
	require.Equal(t, one.Voice, swapped.Voice)
	require.Equal(t, one.Recommend, swapped.Recommend)
}

func standard() Setup { return Setup{Camera: camera.Default} }
