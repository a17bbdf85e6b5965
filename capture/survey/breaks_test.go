package survey

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The bursts of a telephone's radio come and go at once, as a broken line does, but
// nothing is gone, whether they come through a capacitor or not.
func TestABuzzIsNoBreak(t *testing.T) { noBuzzIsABreak(t, voices[:2]) }

func noBuzzIsABreak(t *testing.T, voices []speaker) {
	scenes := 0
	for k, who := range voices {
		v := roomy(onStage(t, who, rate), -66, uint64(k))
		for _, lifted := range []bool{false, true} {
			for _, begins := range []float64{0, 0.7} {
				x := buzz(-19-17, len(v), 0)
				if lifted {
					x = make([]float64, len(v))
					for i := range x {
						if math.Mod(float64(i)/rate, 0.06/13) < 0.015/26 { // 3GPP TS 45.002
							x[i] = 0.045
						}
					}
				}
				for i := range x {
					if math.Mod(float64(i)/rate+begins, 3) >= 1.8 {
						x[i] = 0
					}
				}
				r := measured(t, save(t, add(v, x)))
				require.Zero(t, r.Dropouts, "%s, lifted %t, from %g s", who.name, lifted, begins)
				scenes++
			}
		}
	}
	t.Logf("%d scenes", scenes)
}
