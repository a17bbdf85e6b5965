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

// match raises into, for each sample, to how like the marker the stretch from
// there on is in one of two channels, whatever its level and polarity: 0 to 1.
func (m *matcher) match(a, b *thinner, into []float32) {
	block := make([]complex128, fftSize)
	fresh := fftSize - m.length + 1
	ea, eb := newEnergy(a, m.length), newEnergy(b, m.length)
	count := len(a.out)
	for from := 0; from+m.length <= count; from += fresh {
		clear(block)
		for i := range min(fftSize, count-from) {
			block[i] = complex(float64(a.out[from+i]), float64(b.out[from+i]))
		}
		product := fft.FFT(block)
		for i, c := range m.spectrum {
			product[i] *= cmplx.Conj(c)
		}
		for i, c := range fft.IFFT(product)[:min(fresh, count-from-m.length+1)] {
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

// wideShare is the least share of a sound's whole energy that its thinned
// energy counts as, so that what folds over from above the search's range,
// faint as it is, doesn't pass for a marker.
const wideShare = 0.01

// energy runs along a channel and gives the energy of each stretch.
type energy struct {
	t          *thinner
	at, span   int
	thin, wide float64
}

func newEnergy(t *thinner, span int) *energy {
	e := &energy{t: t, span: span}
	for i := range min(span, len(t.out)) {
		e.thin += float64(t.out[i]) * float64(t.out[i])
		e.wide += float64(t.energy[i])
	}
	return e
}

func (e *energy) next() float64 {
	sum := max(e.thin, wideShare*e.wide)
	if in := e.at + e.span; in < len(e.t.out) {
		old, fresh := float64(e.t.out[e.at]), float64(e.t.out[in])
		e.thin = max(0, e.thin+fresh*fresh-old*old)
		e.wide = max(0, e.wide+float64(e.t.energy[in])-float64(e.t.energy[e.at]))
	}
	e.at++
	return sum
}
