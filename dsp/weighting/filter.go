package weighting

import (
	"math"

	"rollready/dsp/filter"
)

// Curve is a frequency weighting.
type Curve int

// The frequency weightings. Z changes nothing.
const (
	Z Curve = iota
	A
	C
)

// Poles of the weightings in Hz, IEC 61672-1:2013 Annex E.
const (
	f1 = 20.598997
	f2 = 107.652649
	f3 = 737.862231
	f4 = 12194.217148
)

// Design gives the sections of a weighting at a sample rate, 0 dB at 1 kHz;
// nil for Z.
func Design(curve Curve, rateHz int) []filter.Biquad {
	rate := float64(rateHz)
	var sections []filter.Biquad
	switch curve {
	case A:
		sections = []filter.Biquad{highPass(f1, f1, rate), highPass(f2, f3, rate), lowPass(f4, rate)}
	case C:
		sections = []filter.Biquad{highPass(f1, f1, rate), lowPass(f4, rate)}
	default:
		return nil
	}
	gain := math.Pow(10, -filter.ResponseDB(sections, 1000, rate)/20)
	first := &sections[0]
	first.B0, first.B1, first.B2 = first.B0*gain, first.B1*gain, first.B2*gain
	return sections
}

// highPass is a section with two real poles and two zeros at 0 Hz, by the
// bilinear transform: its bend lies far below the frequencies that warps.
func highPass(fa, fb, rateHz float64) filter.Biquad {
	a, b := math.Tan(math.Pi*fa/rateHz), math.Tan(math.Pi*fb/rateHz)
	k := 1 / ((1 + a) * (1 + b))
	pa, pb := (1-a)/(1+a), (1-b)/(1+b)
	return filter.Biquad{B0: k, B1: -2 * k, B2: k, A1: -(pa + pb), A2: pa * pb}
}

// lowPass is a section with two equal real poles. The bilinear transform
// would pull its response to nothing at half the sample rate, too near the
// audible range at 44.1 and 48 kHz. Instead the square of each pole's response,
// (p + q·cos ω) / (1 + r·cos ω), is set to the analogue one at 0 Hz, 9 kHz and
// 18 kHz (lower at rates under 44.1 kHz), which are linear equations, and then split into pole and zero.
func lowPass(hz, rateHz float64) filter.Biquad {
	square := func(f float64) (c, h float64) {
		return math.Cos(2 * math.Pi * f / rateHz), 1 / (1 + f*f/(hz*hz))
	}
	c1, h1 := square(min(9000, 0.2*rateHz))
	c2, h2 := square(min(18000, 0.41*rateHz))
	// p = 1 + r − q; then q·(c−1) + r·(1 − h·c) = h − 1 for both points.
	det := (c1-1)*(1-h2*c2) - (c2-1)*(1-h1*c1)
	q := ((h1-1)*(1-h2*c2) - (h2-1)*(1-h1*c1)) / det
	r := ((c1-1)*(h2-1) - (c2-1)*(h1-1)) / det
	zero, pole := root(q/(1+r-q)), root(r)
	k := (1 + pole) / (1 + zero)
	return filter.Biquad{B0: k * k, B1: 2 * k * k * zero, B2: k * k * zero * zero, A1: 2 * pole, A2: pole * pole}
}

// root gives a with |a| < 1 for which 1 + r·cos ω is proportional to
// |1 + a·e^−iω|².
func root(r float64) float64 { return r / (1 + math.Sqrt(1-r*r)) }
