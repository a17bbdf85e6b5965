package find

import (
	"math"

	"rollready/dsp/filter"
)

// searchHz is about the rate the search runs at: the markers end at 2.4 kHz.
const searchHz = 6000.0

// thinner brings one channel down to the search rate by averaging groups of
// samples, and takes out rumble and hum. What folds over is weak and common
// to clip and marker.
type thinner struct {
	factor int
	sum    float64
	n      int
	cut    filter.Biquad
	state  filter.State
	out    []float32
}

func newThinner(rateHz int) *thinner {
	factor := thinFactor(rateHz)
	return &thinner{factor: factor, cut: filter.HighPassQ(300, math.Sqrt2/2, float64(rateHz)/float64(factor))}
}

func thinFactor(rateHz int) int { return max(1, int(math.Round(float64(rateHz)/searchHz))) }

func (t *thinner) add(x float64) {
	t.sum += x
	t.n++
	if t.n == t.factor {
		t.out = append(t.out, float32(t.state.Step(&t.cut, t.sum/float64(t.factor))))
		t.sum, t.n = 0, 0
	}
}
