package softer

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
)

// loud is noise that is five times as loud for a second, three seconds in, and
// cut at full scale; with it, 10 dB lower, what it would have been. What must
// come out is arithmetic.
func loud(rateHz int) []float32 {
	x := scene.Noise(-16, 6, rateHz, 1)
	for i := 3 * rateHz; i < 4*rateHz; i++ {
		x[i] *= 5
	}
	cut := make([]float64, len(x))
	for i, v := range x {
		cut[i] = max(-1, min(1, v))
	}
	return scene.Interleave(cut, scene.Scale(x, -10))
}

func TestFindsTheCopyAndTheCut(t *testing.T) {
	for _, rateHz := range []int{44100, 48000, 96000} {
		m := New(rateHz)
		scene.InBlocks(loud(rateHz), 2, m.Process)
		f, is := m.Found()
		require.True(t, is)
		require.Zero(t, f.Louder)
		require.InDelta(t, 10, f.LowerDB, 0.01)
		require.Len(t, f.Cut, 1)
		require.InDelta(t, 3, float64(f.Cut[0].From)/float64(rateHz), 0.01)
		require.InDelta(t, 4, float64(f.Cut[0].To)/float64(rateHz), 0.01)
		require.False(t, f.Cut[0].Both)
	}
}

func TestSaysNothingOfNothing(t *testing.T) {
	m := New(48000)
	_, is := m.Found()
	require.False(t, is)
	m.Process([]float32{float32(math.NaN()), 1, float32(math.Inf(1)), 0})
	m.Process(make([]float32, 2*48000))
	_, is = m.Found()
	require.False(t, is)
}

func TestNoAllocation(t *testing.T) {
	m, x := New(48000), scene.Interleave(scene.Noise(-20, 0.1, 48000, 1), scene.Noise(-30, 0.1, 48000, 2))
	require.Zero(t, testing.AllocsPerRun(20, func() { m.Process(x) }))
}

func BenchmarkSofter(b *testing.B) {
	x, m := loud(48000), New(48000)
	b.ReportAllocs()
	for b.Loop() {
		m.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)/2), "ns/frame")
}
