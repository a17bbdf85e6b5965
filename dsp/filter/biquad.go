package filter

import (
	"math"
	"math/cmplx"
)

// Biquad holds the coefficients of one section, normalised so that a0 = 1:
// y = b0·x0 + b1·x1 + b2·x2 − a1·y1 − a2·y2. A first-order section has
// B2 = A2 = 0.
type Biquad struct{ B0, B1, B2, A1, A2 float64 }

// State is the memory of one section for one channel, in transposed direct
// form II. The zero State is silence.
type State struct{ z1, z2 float64 }

// Step runs one sample through the section c. What is added to what first is
// chosen so that little waits for y. Audio thread: never allocates.
func (s *State) Step(c *Biquad, x float64) float64 {
	y := c.B0*x + s.z1
	s.z1 = (c.B1*x + s.z2) - c.A1*y
	s.z2 = c.B2*x - c.A2*y
	return y
}

// Response gives the complex response of the section at hz.
func (c Biquad) Response(hz, rateHz float64) complex128 {
	z1 := cmplx.Exp(complex(0, -2*math.Pi*hz/rateHz))
	z2 := z1 * z1
	num := complex(c.B0, 0) + complex(c.B1, 0)*z1 + complex(c.B2, 0)*z2
	den := 1 + complex(c.A1, 0)*z1 + complex(c.A2, 0)*z2
	return num / den
}

// ResponseDB gives the magnitude in dB of a cascade of sections at hz.
func ResponseDB(sections []Biquad, hz, rateHz float64) float64 {
	h := complex(1, 0)
	for _, s := range sections {
		h *= s.Response(hz, rateHz)
	}
	return 20 * math.Log10(cmplx.Abs(h))
}

// HighPassQ and LowPassQ are single cookbook sections with the given cutoff
// and quality factor.
func HighPassQ(hz, q, rateHz float64) Biquad {
	cos, alpha := cookbook(hz, q, rateHz)
	a0 := 1 + alpha
	return Biquad{(1 + cos) / 2 / a0, -(1 + cos) / a0, (1 + cos) / 2 / a0, -2 * cos / a0, (1 - alpha) / a0}
}

// LowPassQ: see HighPassQ.
func LowPassQ(hz, q, rateHz float64) Biquad {
	cos, alpha := cookbook(hz, q, rateHz)
	a0 := 1 + alpha
	return Biquad{(1 - cos) / 2 / a0, (1 - cos) / a0, (1 - cos) / 2 / a0, -2 * cos / a0, (1 - alpha) / a0}
}

func cookbook(hz, q, rateHz float64) (cos, alpha float64) {
	w := 2 * math.Pi * hz / rateHz
	return math.Cos(w), math.Sin(w) / (2 * q)
}
