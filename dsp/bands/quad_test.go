package bands

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Four bands side by side give, bit by bit, what one after the other does, at
// every length of a stretch.
func TestTogetherEqualsOneAfterTheOther(t *testing.T) {
	if !together {
		t.Log("this processor takes one band after the other")
		return
	}
	random := rand.New(rand.NewPCG(1, 1))
	for _, s := range New(48000, 1).levels {
		for _, q := range s.quads {
			one, all := q, q
			for n := range 70 {
				x := make([]float64, n)
				for i := range x {
					x[i] = random.Float64() - 0.5
				}
				one.runEach(x)
				runTogether(&all, x)
				for lane := range lanes {
					if q.scale[lane] == 0 { // no band
						for s := range sections {
							all.w1[s][lane], all.w2[s][lane] = 0, 0
						}
						all.square[lane], all.top[lane], all.energy[lane] = 0, 0, 0
					}
				}
				require.Equal(t, one, all)
			}
		}
	}
}
