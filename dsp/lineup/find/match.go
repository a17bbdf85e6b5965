package find

import (
	"math"
	"math/cmplx"

	"github.com/mjibson/go-dsp/fft"

	"rollready/dsp/lineup/sequence"
)

const fftSize = 8192

// matcher correlates thinned sound with one marker.
type matcher struct {
	length   int
	energy   float64 // of the marker
	spectrum []complex128
}

// newMatcher prepares the marker as the thinner delivers it.
func newMatcher(kind sequence.Kind, rateHz int) *matcher {
	t := newThinner(rateHz)
	for _, x := range Marker(kind, float64(rateHz)) {
		t.add(x)
	}
	m := &matcher{length: len(t.out)}
	padded := make([]complex128, fftSize)
	for i, x := range t.out {
		padded[i] = complex(float64(x), 0)
		m.energy += float64(x) * float64(x)
	}
	m.spectrum = fft.FFT(padded)
	return m
}

// Marker gives the samples of a marker at framesPerSecond, which may be off
// the nominal rate by the difference of two clocks.
func Marker(kind sequence.Kind, framesPerSecond float64) []float64 {
	s := sequence.Find(kind)
	samples := make([]float64, int(s.Seconds*framesPerSecond))
	for i := range samples {
		samples[i], _ = s.At(float64(i) / framesPerSecond)
	}
	return samples
}

// match gives for each sample of a and b how like the marker the stretch from
// there on is, whatever its level and polarity, 0 to 1: the greater of the two.
func (m *matcher) match(a, b []float32, into []float32) {
	block := make([]complex128, fftSize)
	fresh := fftSize - m.length + 1
	ea, eb := newEnergy(a, m.length), newEnergy(b, m.length)
	for from := 0; from+m.length <= len(a); from += fresh {
		clear(block)
		for i := range min(fftSize, len(a)-from) {
			block[i] = complex(float64(a[from+i]), float64(b[from+i]))
		}
		product := fft.FFT(block)
		for i, c := range m.spectrum {
			product[i] *= cmplx.Conj(c)
		}
		for i, c := range fft.IFFT(product)[:min(fresh, len(a)-from-m.length+1)] {
			like := max(m.like(real(c), ea.next()), m.like(imag(c), eb.next()))
			into[from+i] = max(into[from+i], float32(like))
		}
	}
}

// like normalises a correlation. Below about −120 dBFS nothing is like anything.
func (m *matcher) like(correlation, energy float64) float64 {
	if energy < 1e-12*float64(m.length) {
		return 0
	}
	return math.Abs(correlation) / math.Sqrt(m.energy*energy)
}

// energy runs along a signal and gives the energy of each stretch.
type energy struct {
	x        []float32
	at, span int
	sum      float64
}

func newEnergy(x []float32, span int) *energy {
	e := &energy{x: x, span: span}
	for _, v := range x[:min(span, len(x))] {
		e.sum += float64(v) * float64(v)
	}
	return e
}

func (e *energy) next() float64 {
	sum := e.sum
	if e.at+e.span < len(e.x) {
		out, in := float64(e.x[e.at]), float64(e.x[e.at+e.span])
		e.sum = max(0, e.sum+in*in-out*out)
	}
	e.at++
	return sum
}
