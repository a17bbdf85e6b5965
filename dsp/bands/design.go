package bands

import (
	"math"
	"math/cmplx"
)

// sections is the number of second-order sections of a band: four of them, a
// Butterworth of order 8, meet class 1 wherever the band exists; three do not.
const sections = 4

// section is one pole pair with zeros at 0 Hz and at half the rate:
// w = x − a1·w1 − a2·w2, y = w − w2.
type section struct{ a1, a2 float64 }

// Close under half the rate the bilinear transform flattens the lower skirt. A
// band that reaches past nearEnd of the rate is made narrower by nudge there,
// which keeps the sum of adjacent bands flat.
const nearEnd, nudge = 0.45, 1.002

// design gives the sections of the Butterworth band-pass between two edges in
// Hz (bilinear transform, edges prewarped), and the factor on the power of
// their output that makes the peak of the response 1.
func design(lowHz, highHz, rateHz float64) (s [sections]section, power float64) {
	if highHz > nearEnd*rateHz {
		lowHz *= nudge
	}
	low, high := math.Tan(math.Pi*lowHz/rateHz), math.Tan(math.Pi*highHz/rateHz)
	for k := range sections / 2 {
		angle := math.Pi * float64(2*k+1+sections) / (2 * sections)
		p := cmplx.Rect((high-low)/2, angle)
		root := cmplx.Sqrt(p*p - complex(low*high, 0))
		s[2*k], s[2*k+1] = pair(p+root), pair(p-root)
	}
	centre := 2 * math.Atan(math.Sqrt(low*high))
	h := cmplx.Abs(response(s, centre))
	return s, 1 / (h * h)
}

// pair maps an analogue pole and its conjugate.
func pair(pole complex128) section {
	z := (1 + pole) / (1 - pole)
	return section{a1: -2 * real(z), a2: real(z)*real(z) + imag(z)*imag(z)}
}

// response at the angular frequency w in radians per sample.
func response(s [sections]section, w float64) complex128 {
	z1 := cmplx.Exp(complex(0, -w))
	h := complex(1, 0)
	for _, c := range s {
		h *= (1 - z1*z1) / (1 + complex(c.a1, 0)*z1 + complex(c.a2, 0)*z1*z1)
	}
	return h
}
