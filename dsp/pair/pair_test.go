package pair

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
)

func compare(a, b []float64) *Meter {
	m := new(Meter)
	scene.InBlocks(scene.Interleave(a, b), 2, m.Process)
	return m
}

// Expected values follow from the definition of the correlation coefficient.
func TestCorrelation(t *testing.T) {
	a, b := scene.Noise(-20, 3, 48000, 1), scene.Noise(-20, 3, 48000, 2)
	for _, c := range []struct {
		name        string
		a, b        []float64
		correlation float64
		mono        float64
		balance     float64
		identical   bool
	}{
		{"same", a, a, 1, 3.01, 0, true},
		{"quieter", a, scene.Scale(a, -12), 1, 1.68, -12, false},
		{"unrelated", a, b, 0, 0, 0, false},
		{"half", a, scene.Add(a, b), math.Sqrt(0.5), 2.22, 3.01, false},
	} {
		m := compare(c.a, c.b)
		require.InDelta(t, c.correlation, m.Correlation(), 0.02, c.name)
		require.InDelta(t, c.mono, m.MonoDB(), 0.1, c.name)
		require.InDelta(t, c.balance, m.BalanceDB(), 0.1, c.name)
		require.Equal(t, c.identical, m.Identical(), c.name)
	}
}

func inverted(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = -v
	}
	return y
}

func TestInvertedCancels(t *testing.T) {
	a := scene.Noise(-20, 3, 48000, 1)
	m := compare(a, inverted(a))
	require.InDelta(t, -1, m.Correlation(), 1e-9)
	require.Less(t, m.MonoDB(), -100.0)
	m = compare(a, scene.Add(inverted(a), scene.Noise(-40, 3, 48000, 2)))
	require.InDelta(t, -1, m.Correlation(), 0.02)
	require.InDelta(t, -23, m.MonoDB(), 0.2)
}

func TestDCDoesNotCorrelate(t *testing.T) {
	a, b := scene.Noise(-60, 3, 48000, 1), scene.Noise(-60, 3, 48000, 2)
	for i := range a {
		a[i], b[i] = a[i]+0.1, b[i]+0.1
	}
	require.InDelta(t, 0, compare(a, b).Correlation(), 0.02)
}

func TestSilentChannelAndSwap(t *testing.T) {
	a := scene.Noise(-20, 1, 48000, 1)
	m := compare(a, make([]float64, len(a)))
	require.Zero(t, m.Correlation())
	require.True(t, math.IsInf(m.BalanceDB(), -1))
	b := scene.Scale(a, -5)
	require.Equal(t, compare(a, b).Correlation(), compare(b, a).Correlation())
	require.InDelta(t, compare(a, b).BalanceDB(), -compare(b, a).BalanceDB(), 1e-9)
	m.Reset()
	require.Zero(t, m.BalanceDB())
	m.Process([]float32{float32(math.NaN()), 1, 1, float32(math.Inf(1))})
	require.Zero(t, m.Correlation())
}

func TestNoAllocation(t *testing.T) {
	m, x := new(Meter), make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(100, func() { m.Process(x) }))
}

func BenchmarkPair(b *testing.B) {
	x, m := scene.Interleave(scene.Noise(-20, 1, 48000, 1), scene.Noise(-30, 1, 48000, 2)), new(Meter)
	b.ReportAllocs()
	for b.Loop() {
		m.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}
