package mend

import "rollready/dsp/internal/fft"

const (
	refineSteps = 10
	refineHold  = 1e-4 // of the take's power: how firmly the filter is held where it began
)

// RefineFrames is how many frames of the camera Refine takes at most without
// going over to a transform of twice the size.
const RefineFrames = 1<<17 - Behind - Ahead

// Refine brings the taps of a filter nearer to what makes the take the camera
// in the good runs: the least squares over exactly these frames, by conjugate
// gradients on the normal equations (CGLS, after Björck). Spectra of runs that
// are shorter than the room rings miss what rings on into them; this does not.
// take has Behind frames more before and Ahead more after than cam.
func Refine(taps []float64, cam, take []float32, good [][2]int) []float64 {
	s := newSystem(take, len(cam), len(taps), good)
	hold := refineHold * s.power
	h := append([]float64(nil), taps...)
	r := s.apply(h)
	for i, ok := range s.mask {
		if ok {
			r[i] = float64(cam[i]) - r[i]
		}
	}
	g := s.back(r)
	p := append([]float64(nil), g...)
	size := dot(g, g)
	for range refineSteps {
		q := s.apply(p)
		along := dot(q, q) + hold*dot(p, p)
		if along == 0 {
			break
		}
		step := size / along
		for i := range h {
			h[i] += step * p[i]
		}
		for i := range r {
			r[i] -= step * q[i]
		}
		g = s.back(r)
		for i := range g {
			g[i] -= hold * (h[i] - taps[i])
		}
		next := dot(g, g)
		for i := range p {
			p[i] = g[i] + next/size*p[i]
		}
		if size = next; size == 0 {
			break
		}
	}
	return h
}

// system is the filtering of a take, looked at in the good runs alone.
type system struct {
	plan  *fft.Plan
	x, z  []complex128 // transform of the take; room to work in
	mask  []bool
	taps  int
	power float64 // of the take there
}

func newSystem(take []float32, frames, taps int, good [][2]int) *system {
	n := 2
	for n < len(take) {
		n *= 2
	}
	s := &system{plan: fft.New(n), x: make([]complex128, n), z: make([]complex128, n), mask: make([]bool, frames), taps: taps}
	for i, v := range take {
		s.x[i] = complex(float64(v), 0)
	}
	for _, run := range good {
		for i := run[0]; i < run[1]; i++ {
			s.mask[i] = true
			v := float64(take[Behind+i])
			s.power += v * v
		}
	}
	s.plan.Transform(s.x)
	return s
}

// apply filters the take, as Apply does.
func (s *system) apply(h []float64) []float64 {
	clear(s.z)
	for i, v := range h {
		s.z[i] = complex(v, 0)
	}
	s.plan.Transform(s.z)
	for i, x := range s.x {
		s.z[i] *= x
	}
	s.inverse()
	y := make([]float64, len(s.mask))
	for i, ok := range s.mask {
		if ok {
			y[i] = real(s.z[i+s.taps-1])
		}
	}
	return y
}

// back is the transpose of apply.
func (s *system) back(r []float64) []float64 {
	clear(s.z)
	for i, v := range r {
		s.z[i+s.taps-1] = complex(v, 0)
	}
	s.plan.Transform(s.z)
	for i, x := range s.x {
		s.z[i] *= complex(real(x), -imag(x))
	}
	s.inverse()
	h := make([]float64, s.taps)
	for i := range h {
		h[i] = real(s.z[i])
	}
	return h
}

// inverse is the inverse transform: that of the conjugate, conjugated.
func (s *system) inverse() {
	n := float64(len(s.z))
	for i, v := range s.z {
		s.z[i] = complex(real(v)/n, -imag(v)/n)
	}
	s.plan.Transform(s.z) // what is real stays so: no need to conjugate again
}

func dot(x, y []float64) (sum float64) {
	for i, v := range x {
		sum += v * y[i]
	}
	return sum
}
