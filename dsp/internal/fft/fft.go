// Package fft is a discrete Fourier transform that owns its memory, for code
// that must not allocate.
package fft

import (
	"math"
	"math/bits"
	"math/cmplx"
)

// Plan transforms vectors of one length, a power of two, in place.
type Plan struct {
	twist []complex128 // e^(−2πik/n), k < n/2
	shift int
}

// New makes a plan for n values; n must be a power of two, at least 2.
func New(n int) *Plan {
	p := &Plan{twist: make([]complex128, n/2), shift: 64 - bits.TrailingZeros(uint(n))}
	for k := range p.twist {
		p.twist[k] = cmplx.Rect(1, -2*math.Pi*float64(k)/float64(n))
	}
	return p
}

// Transform replaces x by its Fourier transform (radix 2, decimation in
// time). It does not allocate.
func (p *Plan) Transform(x []complex128) {
	for i := range x {
		if j := int(bits.Reverse64(uint64(i)) >> p.shift); i < j {
			x[i], x[j] = x[j], x[i]
		}
	}
	for size := 2; size <= len(x); size *= 2 {
		half, stride := size/2, len(x)/size
		for at := 0; at < len(x); at += size {
			low, high := x[at:at+half], x[at+half:at+size]
			for k := range low {
				a, b := low[k], high[k]*p.twist[k*stride]
				low[k], high[k] = a+b, a-b
			}
		}
	}
}

// Between refines the place of a peak of a correlation by a parabola through its
// neighbours: −0.5 … 0.5, to be added.
func Between(z []complex128, at int) float64 {
	if at == 0 || at == len(z)-1 {
		return 0
	}
	l, m, r := real(z[at-1]), real(z[at]), real(z[at+1])
	if bend := l - 2*m + r; bend != 0 {
		return max(-0.5, min((l-r)/2/bend, 0.5))
	}
	return 0
}
