package find

import (
	"math"

	"rollready/dsp/filter"
)

// searchHz is about the rate the search runs at: the markers end at 2.4 kHz.
const searchHz = 6000.0

// thinner brings one channel down to the search rate: a low-pass, groups of
// samples averaged, rumble and hum taken out.
type thinner struct {
	factor int
	low    []filter.Biquad
	high   filter.Biquad
	states [3]filter.State
	sum    float64
	square float64
	n      int
	out    []float32
	energy []float32 // mean square before the low-pass, for each sample of out
}

func newThinner(rateHz int) *thinner {
	factor := thinFactor(rateHz)
	return &thinner{factor: factor,
		low:  filter.LowPass(filter.Cut{Hz: 2600, Slope: 24}, rateHz),
		high: filter.HighPassQ(300, math.Sqrt2/2, float64(rateHz)/float64(factor))}
}

func thinFactor(rateHz int) int { return max(1, int(math.Round(float64(rateHz)/searchHz))) }

func (t *thinner) add(x float64) {
	t.square += x * x
	for i := range t.low {
		x = t.states[i].Step(&t.low[i], x)
	}
	t.sum += x
	t.n++
	if t.n == t.factor {
		n := float64(t.factor)
		t.out = append(t.out, float32(t.states[2].Step(&t.high, t.sum/n)))
		t.energy = append(t.energy, float32(t.square/n))
		t.sum, t.square, t.n = 0, 0, 0
	}
}
