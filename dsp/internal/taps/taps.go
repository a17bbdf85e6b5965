// Package taps is what the taps of interpolating filters are made of: a sinc in
// a Kaiser window.
package taps

import "math"

// Sinc is sin πx over πx.
func Sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// Kaiser is the Kaiser window of a beta at r of its half width, |r| ≤ 1; outside it
// stays what it is at the end.
func Kaiser(beta, r float64) float64 {
	return bessel0(beta*math.Sqrt(max(0, 1-r*r))) / bessel0(beta)
}

// bessel0 is the modified Bessel function of the first kind, order 0, by its
// series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-15*sum; k++ {
		term *= (x / (2 * k)) * (x / (2 * k))
		sum += term
	}
	return sum
}
