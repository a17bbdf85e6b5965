package loudness

import (
	"math"

	"rollready/dsp/filter"
)

// ITU-R BS.1770-5 Annex 1 prints the K weighting for 48 kHz only and asks for
// the same response at other rates. These analogue prototypes reproduce the
// printed coefficients to 4e-16 (known re-derivation, see k_weighting.csv).
const (
	shelfHz   = 1681.974450955533
	shelfGain = 1.584864701130855
	shelfMid  = 1.258720930232562
	shelfQ    = 0.7071752369554196
	cutHz     = 38.13547087602444
	cutQ      = 0.5003270373238773
)

// kWeight designs the two sections at a sample rate.
func kWeight(rateHz float64) (shelf, cut filter.Biquad) {
	w := math.Tan(math.Pi * shelfHz / rateHz)
	d := w*w + w/shelfQ + 1
	shelf = filter.Biquad{
		B0: (shelfGain + shelfMid*w/shelfQ + w*w) / d,
		B1: 2 * (w*w - shelfGain) / d,
		B2: (shelfGain - shelfMid*w/shelfQ + w*w) / d,
		A1: 2 * (w*w - 1) / d,
		A2: (w*w - w/shelfQ + 1) / d,
	}
	w = math.Tan(math.Pi * cutHz / rateHz)
	d = w*w + w/cutQ + 1
	cut = filter.Biquad{B0: 1, B1: -2, B2: 1, A1: 2 * (w*w - 1) / d, A2: (w*w - w/cutQ + 1) / d}
	return shelf, cut
}

// Weighting gives the sections of the K weighting at a sample rate.
func Weighting(rateHz int) []filter.Biquad {
	shelf, cut := kWeight(float64(rateHz))
	return []filter.Biquad{shelf, cut}
}

// weighted is the memory of both sections for one channel, in transposed
// direct form II.
type weighted struct{ s1, s2, c1, c2 float64 }

// energy runs one channel of interleaved frames through the weighting and
// gives the sum of squares. Values that are not finite count as silence.
func (k *weighted) energy(shelf, cut *filter.Biquad, block []float32, stride int) float64 {
	b0, b1, b2, a1, a2 := shelf.B0, shelf.B1, shelf.B2, shelf.A1, shelf.A2
	d1, d2 := cut.A1, cut.A2
	s1, s2, c1, c2 := k.s1, k.s2, k.c1, k.c2
	sum := 0.0
	for i := 0; i < len(block); i += stride {
		x := float64(block[i])
		if x-x != 0 {
			x = 0
		}
		y := b0*x + s1
		s1 = (b1*x + s2) - a1*y // y comes late
		s2 = b2*x - a2*y
		z := y + c1
		c1 = c2 - 2*y - d1*z
		c2 = y - d2*z
		sum += z * z
	}
	k.s1, k.s2, k.c1, k.c2 = calm(s1), calm(s2), calm(c1), calm(c2)
	return sum
}

// slow is above the denormal numbers, which are slow.
const slow = 1e-30

// calm ends a decay before it reaches them.
func calm(state float64) float64 {
	if math.Abs(state) < slow {
		return 0
	}
	return state
}
