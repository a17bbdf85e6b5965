package chain_test

import (
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/internal/signal"
)

func requireFinite(t *testing.T, block []float32) {
	t.Helper()
	for i, x := range block {
		if x-x != 0 {
			require.FailNow(t, "not finite", "sample %d is %v", i, x)
		}
	}
}

func TestNothingSticksInTheFilters(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, bad := range []float32{nan, inf, -inf, math.MaxFloat32, -math.MaxFloat32, 1e-42} {
		c := chain.New(rate, 2)
		c.Set(chain.Settings{GainDB: 40, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 9000, Slope: 24}})
		block := signal.Noise(0.001, 960, 1)
		for i := 100; i < 120; i++ {
			block[i] = bad
		}
		c.Process(block)
		requireFinite(t, block)
		for range 200 { // two seconds of the same tone into both channels
			c.Process(block[:copy(block, make([]float32, 960))])
		}
		tone := signal.Sine(1000, 0.001, rate, rate/10)
		stereo := signal.Interleave(tone, tone)
		c.Process(stereo)
		require.InDelta(t, 0.1, peak(stereo[len(stereo)/2:]), 0.001, "after %v", bad)
	}
}

func peak(x []float32) float64 {
	p := 0.0
	for _, v := range x {
		p = max(p, math.Abs(float64(v)))
	}
	return p
}

func TestNothingIsAllocated(t *testing.T) {
	c := chain.New(rate, 2)
	block := signal.Noise(0.5, 960, 1)
	require.Zero(t, testing.AllocsPerRun(100, func() { c.Process(block) }))
	c.Set(busy)
	require.Zero(t, testing.AllocsPerRun(100, func() { c.Process(block) }), "while a change runs and after")
}

func TestSetFromAnotherGoroutine(t *testing.T) {
	c := chain.New(rate, 2)
	var settings sync.WaitGroup
	settings.Go(func() {
		for i := range 2000 {
			c.Set(chain.Settings{GainDB: float64(i % 40), HighPass: filter.Cut{Hz: float64(20 + i%500), Slope: 24}})
		}
	})
	for range 500 {
		block := signal.Noise(0.001, 960, 1)
		c.Process(block)
		requireFinite(t, block)
	}
	settings.Wait()
}

func FuzzAnyInputGivesFiniteOutput(f *testing.F) {
	f.Add(uint32(0x7fc00000), uint32(0x7f800000), uint32(1), 10.0, 80.0, uint8(4), 12000.0, uint8(3))
	f.Add(uint32(0x7f7fffff), uint32(0xff7fffff), uint32(0x00400000), 40.0, 10.0, uint8(4), 10.0, uint8(4))
	f.Fuzz(func(t *testing.T, a, b, d uint32, gain, highHz float64, high uint8, lowHz float64, low uint8) {
		c := chain.New(rate, 2)
		values := []float32{math.Float32frombits(a), math.Float32frombits(b), math.Float32frombits(d)}
		for round := range 3 {
			block := make([]float32, 960)
			for i := range block {
				block[i] = values[(i*7+i/5)%3]
			}
			c.Process(block)
			requireFinite(t, block)
			c.Set(chain.Settings{GainDB: gain, HighPass: filter.Cut{Hz: highHz, Slope: 6 * int(high%5)},
				LowPass: filter.Cut{Hz: lowHz, Slope: 6 * (int(low) + round) % 30}})
		}
	})
}

// A stereo block of 10 ms with gain and both filters at their steepest.
func BenchmarkChain(b *testing.B) {
	c := chain.New(rate, 2)
	c.Set(chain.Settings{GainDB: 6, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 12000, Slope: 24}})
	in := signal.Noise(0.1, 960, 1)
	block := make([]float32, 960)
	b.ReportAllocs()
	for b.Loop() {
		copy(block, in)
		c.Process(block)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/960, "ns/sample")
	b.ReportMetric(100*b.Elapsed().Seconds()/float64(b.N)/0.01, "%core")
}
