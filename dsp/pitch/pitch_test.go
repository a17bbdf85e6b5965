package pitch

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
	"rollready/dsp/lowrate"
)

func track(x []float64, rateHz int) *Tracker {
	t := New(0.01, lowrate.Rate(rateHz))
	d := lowrate.New(rateHz, 1, func(_ int, x []float64) { t.Process(x) })
	scene.InBlocks(scene.Interleave(x), 1, d.Process)
	return t
}

// harmonics of a fundamental, the first weaker than the second as in speech.
func harmonics(hz, seconds float64, rateHz int) []float64 {
	x := scene.Sine(hz, -40, 0, seconds, rateHz)
	for k := 2.0; k < 8; k++ {
		x = scene.Add(x, scene.Sine(k*hz, -32-2*k, 40*k, seconds, rateHz))
	}
	return x
}

func TestFundamentalIsFound(t *testing.T) {
	for _, rate := range []int{44100, 48000, 96000, 192000} {
		for _, hz := range []float64{70, 85, 110, 140, 190, 230, 300, 400} {
			tr := track(harmonics(hz, 2, rate), rate)
			require.InEpsilon(t, hz, tr.Hz(0.5), 0.02, "%g Hz at %d", hz, rate)
			require.InEpsilon(t, hz, tr.Hz(0.1), 0.02)
			require.Greater(t, tr.VoicedShare(), 0.95)
		}
	}
}

func TestFundamentalInNoise(t *testing.T) {
	for _, hz := range []float64{85, 120, 220} {
		x := scene.Add(harmonics(hz, 3, 48000), scene.Noise(-38, 3, 48000, 1))
		require.InEpsilon(t, hz, track(x, 48000).Hz(0.5), 0.02)
	}
}

func TestNoiseSilenceAndQuietHumAreUnvoiced(t *testing.T) {
	require.Less(t, track(scene.Noise(-30, 5, 48000, 2), 48000).VoicedShare(), 0.02)
	silent := track(scene.Silence(1, 48000), 48000)
	require.Zero(t, silent.VoicedShare())
	require.Zero(t, silent.Hz(0.5))
	hum := New(0.01, 3000)
	hum.Room(scene.Sine(100, -50, 0, 2, 3000))
	hum.Process(scene.Sine(100, -48, 0, 2, 3000))
	require.Zero(t, hum.VoicedShare())
	hum.Reset()
	hum.Process(scene.Sine(100, -48, 0, 2, 3000))
	require.Greater(t, hum.VoicedShare(), 0.9)
}

func TestNoAllocation(t *testing.T) {
	tr, x := New(0.01, 3000), scene.Noise(-20, 0.1, 3000, 1)
	require.Zero(t, testing.AllocsPerRun(50, func() { tr.Process(x) }))
}

func BenchmarkPitch(b *testing.B) {
	tr, x := New(0.01, 3000), harmonics(120, 10, 3000)
	b.ReportAllocs()
	for b.Loop() {
		tr.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)*16), "ns/sample-at-48k")
}
