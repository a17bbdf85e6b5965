package fft

// Real transforms real vectors of one length, a power of two and at least 4, by
// a complex transform of half the length.
type Real struct {
	plan  *Plan
	twist []complex128 // e^(−2πik/n), k < n/2
	work  []complex128
}

// NewReal makes a plan for n values.
func NewReal(n int) *Real {
	return &Real{plan: New(n / 2), twist: New(n).twist, work: make([]complex128, n/2)}
}

// Transform puts the first values of the Fourier transform of x into dst, at
// most half as many as x has. It does not allocate.
func (r *Real) Transform(dst []complex128, x []float64) {
	half := len(r.work)
	for i := range r.work {
		r.work[i] = complex(x[2*i], x[2*i+1])
	}
	r.plan.Transform(r.work)
	for k := range dst {
		a, b := r.work[k], r.work[(half-k)%half]
		b = complex(real(b), -imag(b))
		odd := (a - b) * r.twist[k]
		dst[k] = (a + b + complex(imag(odd), -real(odd))) / 2
	}
}
