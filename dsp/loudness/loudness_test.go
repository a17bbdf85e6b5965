package loudness

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/filter"
	"rollready/dsp/internal/reference"
	"rollready/dsp/internal/scene"
)

// ITU-R BS.1770-5 Annex 1 Tables 1 and 2 (48 kHz) to 1e-14, and the same
// prototype at 44.1 and 96 kHz to 1e-12.
func TestWeightingCoefficients(t *testing.T) {
	read := func(stage filter.Biquad, name string) float64 {
		return map[string]float64{"b0": stage.B0, "b1": stage.B1, "b2": stage.B2, "a1": stage.A1, "a2": stage.A2}[name]
	}
	found := 0
	for _, row := range reference.Rows(t, "k_weighting.csv") {
		kind, key := row["kind"], row["key"]
		rate := map[string]float64{"coef_stage1_48k": 48000, "coef_stage2_48k": 48000, "coef_44100": 44100, "coef_96000": 96000}[kind]
		if rate == 0 {
			continue
		}
		shelf, cut := kWeight(rate)
		stage := shelf
		if kind == "coef_stage2_48k" || strings.HasPrefix(key, "s2_") {
			stage = cut
		}
		require.InDelta(t, row.Float(t, "value"), read(stage, strings.TrimLeft(key, "s12_")), 1e-12, "%s %s", kind, key)
		found++
	}
	require.Equal(t, 24, found)
}

// speechlike is noise whose level swings as talk does.
func speechlike(seconds float64, seed uint64) []float64 {
	x := scene.Noise(-24, seconds, 48000, seed)
	for i := range x {
		t := float64(i) / 48000
		x[i] *= math.Pow(10, (8*math.Sin(2*math.Pi*0.31*t)+5*math.Sin(2*math.Pi*3.1*t))/20)
	}
	return x
}

func read(m *Meter) []float64 {
	return []float64{m.Momentary(), m.ShortTerm(), m.Integrated(), m.MaxMomentary(), m.MaxShortTerm()}
}

func TestResultDoesNotDependOnBlocks(t *testing.T) {
	frames := scene.Interleave(speechlike(5, 1), speechlike(5, 2))
	whole, cut := New(48000, 2), New(48000, 2)
	whole.Process(frames)
	scene.InBlocks(frames, 2, cut.Process)
	require.InDeltaSlice(t, read(whole), read(cut), 1e-9)
	require.InDelta(t, whole.Range(), cut.Range(), 1e-9)
	cut.Reset()
	cut.Process(frames)
	require.Equal(t, read(whole), read(cut))
}

func TestGainMovesEveryLevel(t *testing.T) {
	x := speechlike(8, 3)
	plain := New(48000, 1)
	plain.Process(scene.Interleave(x))
	for _, gain := range []float64{-12, -0.3, 6} {
		moved := New(48000, 1)
		moved.Process(scene.Interleave(scene.Scale(x, gain)))
		for i, was := range read(plain) {
			require.InDelta(t, was+gain, read(moved)[i], 0.01)
		}
		require.InDelta(t, plain.Range(), moved.Range(), 0.02)
	}
}

func TestSwappedChannelsReadTheSame(t *testing.T) {
	a, b := speechlike(4, 4), scene.Scale(speechlike(4, 5), -9)
	left, right := New(48000, 2), New(48000, 2)
	left.Process(scene.Interleave(a, b))
	right.Process(scene.Interleave(b, a))
	require.InDeltaSlice(t, read(left), read(right), 1e-9)
}

func TestSilenceAfterwardsLeavesIntegrated(t *testing.T) {
	m := New(48000, 1)
	m.Process(scene.Interleave(speechlike(30, 6)))
	before := m.Integrated()
	m.Process(make([]float32, 30*48000))
	require.InDelta(t, before, m.Integrated(), 0.1)
	require.True(t, math.IsInf(m.Momentary(), -1) || m.Momentary() < -150)
}

func TestSilenceAndHostileValues(t *testing.T) {
	m := New(48000, 1)
	for _, v := range read(m) {
		require.True(t, math.IsInf(v, -1))
	}
	require.Zero(t, m.Range())
	x := scene.Interleave(speechlike(4, 7))
	for i := 0; i < len(x); i += 5000 {
		x[i] = []float32{float32(math.NaN()), float32(math.Inf(1)), 1e-44}[i/5000%3]
	}
	m.Process(x)
	for _, v := range append(read(m), m.Range()) {
		require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
	}
}

func TestNoAllocation(t *testing.T) {
	m, x := New(48000, 2), scene.Interleave(speechlike(0.2, 1), speechlike(0.2, 2))
	require.Zero(t, testing.AllocsPerRun(50, func() { m.Process(x); m.Integrated(); m.Range() }))
}

func BenchmarkLoudness(b *testing.B) {
	m, x := New(48000, 2), scene.Interleave(speechlike(1, 1), speechlike(1, 2))
	b.ReportAllocs()
	for b.Loop() {
		for y := x; len(y) > 0; y = y[960:] {
			m.Process(y[:960])
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}
