package earcon

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// At every usual rate each is short, soft, begins and ends in silence, has no
// step, and no two are alike.
func TestSoftShortAndTheirOwn(t *testing.T) {
	for _, rate := range []int{8000, 44100, 48000, 96000} {
		seen := map[string]Kind{}
		for k := range Count {
			x := Sound(k, rate)
			require.Less(t, len(x), rate, "under a second")
			require.Greater(t, len(x), rate/50)
			top, step := 0.0, 0.0
			for i, v := range x {
				top = max(top, math.Abs(float64(v)))
				if i > 0 {
					step = max(step, math.Abs(float64(v-x[i-1])))
				}
			}
			require.LessOrEqual(t, top, math.Pow(10, PeakDBFS/20)+1e-8)
			require.Greater(t, top, 0.9*math.Pow(10, PeakDBFS/20))
			// No step is larger than those of a steady sine of the highest note.
			require.LessOrEqual(t, step, math.Pow(10, PeakDBFS/20)*2*math.Sin(math.Pi*1320/float64(rate))+1e-6)
			require.Zero(t, x[0])
			require.Less(t, math.Abs(float64(x[len(x)-1])), 1e-3)
			shape := ""
			for i := 0; i+rate/100 <= len(x); i += rate / 100 {
				crossings := 0
				for j := i + 1; j < i+rate/100; j++ {
					if (x[j] < 0) != (x[j-1] < 0) {
						crossings++
					}
				}
				shape += string(rune('a' + crossings))
			}
			require.NotContains(t, seen, shape)
			seen[shape] = k
		}
	}
}
