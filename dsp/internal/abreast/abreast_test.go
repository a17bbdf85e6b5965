package abreast

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/filter"
	"rollready/dsp/internal/signal"
)

// Side by side is, bit by bit, what one channel after the other gives by
// filter.State, in blocks of any length.
func TestEqualsOneAfterTheOther(t *testing.T) {
	if !Fast {
		t.Skip("this processor takes one channel at a time")
	}
	sections := append(filter.HighPass(filter.Cut{Hz: 80, Slope: 24}, 48000), filter.LowPass(filter.Cut{Hz: 9000, Slope: 12}, 48000)...)
	require.Len(t, sections, 3)
	for _, of := range [][]filter.Biquad{sections[:2], sections} {
		for _, offset := range []float64{0, 1e-20} {
			c, x := New(offset, of...), make([]float32, 2*9600)
			for ch := range 2 {
				for i, v := range signal.Noise(0.5, 9600, uint64(ch)+1) {
					x[2*i+ch] = v
				}
			}
			x[100], x[333], x[6000] = float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1))
			for rest, n := x, 0; len(rest) > 0; n++ {
				part := min(len(rest), 2*(n%7*100))
				c.Add(rest[:part])
				rest = rest[part:]
			}
			got := c.Take()
			require.Zero(t, c.Sums)
			for ch := range 2 {
				state, want := make([]filter.State, len(of)), [3]float64{}
				for i := ch; i < len(x); i += 2 {
					y := float64(x[i])
					if y-y != 0 {
						y = 0
					}
					want[0] += y
					want[1] += y * y
					y += offset
					for k := range of {
						y = state[k].Step(&of[k], y)
					}
					want[2] += y * y
				}
				require.Equal(t, want, [3]float64{got.DC[ch], got.Flat[ch], got.Power[ch]})
			}
		}
	}
}

// A decay ends before it becomes slow.
func TestCalm(t *testing.T) {
	c := New(0, filter.Biquad{B0: 1, B1: 1, A1: -0.5}, filter.Biquad{B0: 1, B1: 1, A1: -0.5})
	for _, v := range []float64{1e-29, -1e-31} {
		c.memory[1][0] = [2]float64{v, v}
		c.Calm(1e-30)
		require.Equal(t, math.Abs(v) > 1e-30, c.memory[1][0][0] != 0)
	}
}
