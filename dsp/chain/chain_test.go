package chain_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/signal"
	"rollready/dsp/limiter"
)

const rate = 48000

var busy = chain.Settings{GainDB: 7.5, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 12000, Slope: 18}}

// odd holds every kind of finite float32: denormals, both zeros, the extremes.
func odd() []float32 {
	x := signal.Noise(0.9, 2000, 3)
	return append(x, 0, float32(math.Copysign(0, -1)), math.SmallestNonzeroFloat32, -1e-40, math.MaxFloat32, -math.MaxFloat32, 1, -1, 1.0000001)
}

func bits(x []float32) []uint32 {
	b := make([]uint32, len(x))
	for i, v := range x {
		b[i] = math.Float32bits(v)
	}
	return b
}

func TestZeroSettingsPassBitsUnchanged(t *testing.T) {
	for channels := 1; channels <= 2; channels++ {
		in := odd()[:2008]
		require.Equal(t, bits(in), bits(signal.Cut(in, channels, chain.New(rate, channels).Process)))
	}
}

func TestBitsPassUnchangedAgainAfterSettingsReturn(t *testing.T) {
	c := chain.New(rate, 2)
	c.Set(busy)
	c.Process(signal.Noise(0.5, rate, 1))
	c.Set(chain.Settings{})
	c.Process(signal.Noise(0.5, rate, 2))
	in := odd()[:2008]
	require.Equal(t, bits(in), bits(signal.Cut(in, 2, c.Process)))
}

func TestGainIsExact(t *testing.T) {
	for _, gain := range []float64{-60, -6, 0, 0.1, 12, 40} {
		c := chain.New(rate, 1)
		c.Set(chain.Settings{GainDB: gain})
		block := signal.Constant(0.001, 100)
		c.Process(block)
		require.InDelta(t, -60+gain, db.FromAmplitude(float64(block[0])), 1e-5, "from the first frame")
		require.InDelta(t, -60+gain, db.FromAmplitude(float64(block[99])), 1e-5)
	}
}

// The filters themselves are checked against reference tables in dsp/filter.
func TestChainIsGainThenFilters(t *testing.T) {
	in := signal.Noise(0.3, 4000, 5)
	c := chain.New(rate, 1)
	c.Set(busy)
	got := signal.Cut(in, 1, c.Process)
	sections := append(filter.HighPass(busy.HighPass, rate), filter.LowPass(busy.LowPass, rate)...)
	states := make([]filter.State, len(sections))
	for i, x := range in {
		y := float64(x) * db.ToAmplitude(busy.GainDB)
		for k := range sections {
			y = states[k].Step(&sections[k], y)
		}
		require.InDelta(t, y, float64(got[i]), 1e-7)
	}
}

func TestBlockCutsDoNotMatter(t *testing.T) {
	in := signal.Noise(0.3, 2*rate, 6)
	whole := append([]float32(nil), in...)
	a, b := chain.New(rate, 2), chain.New(rate, 2)
	a.Set(busy)
	b.Set(busy)
	a.Process(whole)
	require.Equal(t, bits(whole), bits(signal.Cut(in, 2, b.Process)))
}

func TestHalfAFrameIsLeftAlone(t *testing.T) {
	c := chain.New(rate, 2)
	c.Set(chain.Settings{GainDB: 20})
	block := []float32{0.01, 0.01, 0.01}
	c.Process(block)
	require.InDelta(t, 0.1, block[1], 1e-6)
	require.Equal(t, float32(0.01), block[2])
}

func TestSettingsThatFailCheckChangeNothing(t *testing.T) {
	c := chain.New(rate, 1)
	for _, s := range []chain.Settings{{GainDB: math.NaN()}, {GainDB: 41}, {HighPass: filter.Cut{Hz: math.NaN(), Slope: 6}},
		{LowPass: filter.Cut{Hz: 80, Slope: 7}}, {Limit: chain.Limit{On: true, CeilingDBTP: 1}}} {
		require.Error(t, s.Check())
		c.Set(s)
		block := signal.Constant(0.5, 10)
		c.Process(block)
		require.Equal(t, float32(0.5), block[9])
	}
}

func TestResponseDB(t *testing.T) {
	s := chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 100, Slope: 12}, LowPass: filter.Cut{Hz: 8000, Slope: 24}}
	require.InDelta(t, 3, s.ResponseDB(1000, rate), 0.001)
	require.InDelta(t, 3-3.0103, s.ResponseDB(100, rate), 0.001)
	require.InDelta(t, 3-3.0103, s.ResponseDB(8000, rate), 0.001)
}

// The limiter is the last stage, from the first frame on: its output is the
// limited output of the rest of the chain, later by its look-ahead.
func TestLimiterIsTheLastStage(t *testing.T) {
	in := signal.Noise(0.9, 2*rate, 5)
	whole := chain.New(rate, 2)
	set := busy
	set.Limit = chain.Limit{On: true, CeilingDBTP: -3}
	whole.Set(set)
	require.NotZero(t, whole.LatencyFrames())
	got := signal.Cut(in, 2, whole.Process)

	rest := chain.New(rate, 2)
	rest.Set(busy)
	require.Zero(t, rest.LatencyFrames())
	want := signal.Cut(in, 2, rest.Process)
	last := limiter.New(rate, 2)
	last.SetCeiling(-3, true)
	last.Process(want)
	require.Equal(t, bits(want), bits(got))
	require.Positive(t, whole.ReductionDB())
}
