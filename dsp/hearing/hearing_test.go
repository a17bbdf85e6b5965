package hearing

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
	"rollready/dsp/internal/signal"
	"rollready/dsp/internal/speech"
)

// hear gives what an ear has heard of a sound, the same before and behind the
// chain but for a gain.
func hear(rateHz int, gainDB float64, channels ...[]float64) Heard {
	e := New(rateHz, len(channels))
	in := scene.Interleave(channels...)
	louder := make([][]float64, len(channels))
	for c := range channels {
		louder[c] = scene.Scale(channels[c], gainDB)
	}
	e.Process(in, scene.Interleave(louder...))
	return e.Heard()
}

// voice is fifteen seconds of a recorded voice with its highest peak at a level,
// over a room.
func voice(t testing.TB, peakDBFS, roomDBFS float64) (x []float64, rateHz int) {
	said, rateHz := speech.Load(t)
	top := 0.0
	for _, v := range said {
		top = max(top, math.Abs(float64(v)))
	}
	for len(x) < 15*rateHz {
		for _, v := range said {
			x = append(x, float64(v)/top*math.Pow(10, peakDBFS/20))
		}
	}
	x = x[:15*rateHz]
	return scene.Add(x, scene.Noise(roomDBFS, 15, rateHz, 1)), rateHz
}

func TestAVoiceIsHeardAtAnyLevel(t *testing.T) {
	for _, peak := range []float64{0, -20, -40, -60} {
		x, rate := voice(t, peak, peak-60)
		h := hear(rate, 6, x)
		c := h.Channels[0]
		require.Greater(t, h.SpokenSeconds, 4.0)
		require.Less(t, h.PauseSeconds, 1.0)
		require.InDelta(t, peak-2, c.SpeechDBTP, 2)
		require.InDelta(t, c.SpeechDBTP+6, c.SpeechOutDBTP, 0.01)
		require.Greater(t, c.OverRoomDBA, 25.0)
		require.False(t, c.Hum.Present)
		require.Zero(t, c.DC)
	}
}

// Somebody who hardly pauses lets no room be heard: once it is, in a pause, the
// voice is measured over it, not over what was between the words.
func TestTheRoomIsHeardInAPause(t *testing.T) {
	x, rate := voice(t, -10, -70)
	for _, later := range []int{rate / 3, rate / 2} { // over the own pauses
		x = scene.Add(x, scene.Scale(append(slices.Clone(x[later:]), x[:later]...), -3))
	}
	dense := hear(rate, 0, x).Channels[0]
	require.Less(t, dense.OverRoomDBA, 20.0)
	after := hear(rate, 0, append(x, scene.Noise(-70, 4, rate, 2)...)).Channels[0]
	require.True(t, after.RoomHeard)
	require.Greater(t, after.OverRoomDBA, 40.0)
	require.InDelta(t, dense.VoiceDBFS, after.VoiceDBFS, 3)
}

// A room is none, however loud: noise of any colour, hum, a tone, traffic.
func TestARoomIsNoVoice(t *testing.T) {
	const rate, seconds = 22050, 15
	swell := scene.Noise(-40, seconds, rate, 3)
	for i := range swell {
		swell[i] *= math.Pow(10, 0.6*math.Sin(2*math.Pi*0.3*float64(i)/rate))
	}
	for name, x := range map[string][]float64{
		"soft": scene.Noise(-62, seconds, rate, 1), "loud": scene.Noise(-20, seconds, rate, 2), "traffic": swell,
		"hum":     scene.Add(scene.Sine(100, -30, 0, seconds, rate), scene.Noise(-60, seconds, rate, 4)),
		"tone":    scene.Sine(1000, -20, 0, seconds, rate),
		"silence": scene.Silence(seconds, rate),
	} {
		h := hear(rate, 0, x)
		require.True(t, math.IsInf(h.PauseSeconds, 1), name)
		require.Zero(t, h.SpokenSeconds, name)
	}
}

func TestWhatIsWrongIsMeasured(t *testing.T) {
	x, rate := voice(t, -10, -70)
	inverted := scene.Scale(x, -3)
	for i := range inverted {
		inverted[i] = -inverted[i] + 0.02
	}
	hum := scene.Add(scene.Sine(50, -40, 0, 15, rate), scene.Sine(100, -44, 0, 15, rate))
	h := hear(rate, 0, scene.Add(x, hum), inverted)
	require.Less(t, h.Correlation, -0.9)
	require.Less(t, h.MonoDB, -10.0)
	require.Zero(t, h.Voice)
	require.InDelta(t, 0.02, h.Channels[1].DC, 0.002)
	require.Zero(t, h.Channels[0].DC)
	require.True(t, h.Channels[0].Hum.Present)
	require.Equal(t, 50, h.Channels[0].Hum.MainsHz)
	require.InDelta(t, -38.5, h.Channels[0].Hum.LevelDBFS, 1)
	require.False(t, h.Channels[1].Hum.Present)
	require.InDelta(t, -70, hear(rate, 0, x).Channels[0].FloorDBFS, 1.5)
}

func TestBlockCutsDoNotMatter(t *testing.T) {
	x := signal.Speech(0.5, 22050, 8*22050, 1)
	whole, cut := New(22050, 2), New(22050, 2)
	whole.Process(x, x)
	signal.Cut(x, 2, func(block []float32) { cut.Process(block, block) })
	require.Equal(t, whole.Heard(), cut.Heard())
}

func TestResetForgets(t *testing.T) {
	x := signal.Speech(0.5, 22050, 8*22050, 1)
	e, fresh := New(22050, 1), New(22050, 1)
	e.Process(signal.Noise(0.9, 22050*5, 2), signal.Noise(0.9, 22050*5, 2))
	e.Reset()
	e.Process(x, x)
	fresh.Process(x, x)
	require.Equal(t, fresh.Heard(), e.Heard())
}

// Only looking at a spectrum allocates, every third second.
func TestBlocksAllocateNothing(t *testing.T) {
	e, x := New(48000, 2), signal.Noise(0.5, 960, 1)
	e.Process(signal.Noise(0.5, 2*48000, 1), signal.Noise(0.5, 2*48000, 1))
	require.Zero(t, testing.AllocsPerRun(80, func() { e.Process(x, x) }))
}

func BenchmarkEar(b *testing.B) {
	e, x := New(48000, 2), signal.Interleave(signal.Speech(0.5, 48000, 48000, 1), signal.Speech(0.5, 48000, 48000, 2))
	b.ReportAllocs()
	at := 0
	for b.Loop() {
		e.Process(x[at:at+960], x[at:at+960])
		at = (at + 960) % len(x)
	}
	b.ReportMetric(100*b.Elapsed().Seconds()/float64(b.N)/0.01, "%core")
}
