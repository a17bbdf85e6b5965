// Package spill compares two microphones that two people wear or face: how
// loud each voice is in its own, how much of it spills into the other, how much
// later it comes there, with which polarity, and the comb filter that this
// makes where both microphones are summed.
//
// # How the voices are told apart
//
// Spectra of short stretches are taken of both microphones together. Where one
// person speaks, the level of the first microphone over the second stands
// high, where the other one speaks it stands low. The stretches are sorted by
// that difference; if they fall into two heaps, each heap is a voice, whatever
// the gains are. Stretches in which both speak, or nobody, lie between the
// heaps or near the noise floor and are left out.
//
// # What a heap tells
//
// With S11, S22 and S12 the power and cross spectra of a heap (J. S. Bendat and
// A. G. Piersol, Random Data, on single-input systems), the part of the second
// microphone that comes from the voice has the power |S12|²/S11: noise and the
// other person drop out. The delay is where the cross-correlation, with the
// spectrum made flat, has its peak (the generalised cross-correlation of
// C. H. Knapp and G. C. Carter, 1976; both from memory).
package spill

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/fft"
	"rollready/dsp/loudness"
)

const (
	windowSeconds  = 0.08   // of a stretch, rounded up to a power of two in frames
	memorySeconds  = 30     // what is heard fades to 1/e in this time: about the last minute counts
	lowestHz       = 150.0  // spill and delay are judged between these
	highestHz      = 8000.0 //
	overFloorDB    = 10.0   // a stretch so far over the floor is somebody speaking
	floorRise      = 2.0    // dB per second that the floor may rise by
	stepDB         = 3.0    // width of a class of level differences
	reachDB        = 60.0   // differences beyond count as this
	strangeSeconds = 3.0    // of speech that fits neither voice known: a preamplifier was turned, or a microphone moved
	fitting        = 3.0    // what fits one counts so much more
	classes        = 2*int(reachDB/stepDB) + 1
)

// Meter compares two microphones. Not safe for concurrent use.
type Meter struct {
	rateHz, size int
	first, last  int // bins between lowestHz and highestHz
	window       []float64
	weights      []float64 // of BS.1770's K filter, power, by bin
	plan         *fft.Real
	frames       [2][]float64 // the stretch being filled
	filled       int
	windowed     []float64
	spectra      [2][]complex128
	floor        [2]float64 // power
	classes      [classes]class
	weight       float64    // of the newest stretch: grows, so that older ones fade
	middles      [2]float64 // of both voices, when the last Result knew them; else NaN
	strange      float64    // seconds of speech that fit neither
}

// class holds the stretches of about the same level difference.
type class struct {
	count  float64    // stretches, by weight
	heard  [2]float64 // K-weighted power
	power  [2][]float64
	shared []complex128
}

// New makes a meter for a sample rate.
func New(rateHz int) *Meter {
	size := 1
	for float64(size) < windowSeconds*float64(rateHz) {
		size *= 2
	}
	m := &Meter{rateHz: rateHz, size: size, plan: fft.NewReal(size), window: make([]float64, size), windowed: make([]float64, size),
		weights: make([]float64, size/2)}
	m.first, m.last = m.bin(lowestHz), min(m.bin(highestHz), size/2-1)
	for i := range m.window {
		m.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(size))
	}
	k := loudness.Weighting(rateHz)
	for i := 1; i < len(m.weights); i++ {
		m.weights[i] = db.ToPower(filter.ResponseDB(k, float64(i)*m.binHz(), float64(rateHz)))
	}
	for c := range m.frames {
		m.frames[c], m.spectra[c] = make([]float64, size), make([]complex128, size/2)
	}
	for i := range m.classes {
		c := &m.classes[i]
		c.power[0], c.power[1], c.shared = make([]float64, m.last-m.first), make([]float64, m.last-m.first), make([]complex128, m.last-m.first)
	}
	m.Reset()
	return m
}

func (m *Meter) binHz() float64     { return float64(m.rateHz) / float64(m.size) }
func (m *Meter) bin(hz float64) int { return int(math.Ceil(hz / m.binHz())) }

// Reset forgets everything heard.
func (m *Meter) Reset() {
	m.filled, m.weight, m.strange = 0, 1, 0
	m.middles = [2]float64{math.NaN(), math.NaN()}
	m.floor = [2]float64{math.Inf(1), math.Inf(1)}
	for i := range m.classes {
		m.classes[i].scale(0)
	}
}

// Process takes frames of both microphones, interleaved. Frames that are not
// finite count as silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	for i := 0; i+1 < len(block); i += 2 {
		a, b := float64(block[i]), float64(block[i+1])
		if a-a+b-b != 0 {
			a, b = 0, 0
		}
		m.frames[0][m.filled], m.frames[1][m.filled] = a, b
		if m.filled++; m.filled == m.size {
			m.stretch()
			m.filled = m.size / 2
			for c := range m.frames {
				copy(m.frames[c], m.frames[c][m.size/2:])
			}
		}
	}
}

// stretch sorts what the window holds into its class.
func (m *Meter) stretch() {
	var heard [2]float64
	for c := range m.frames {
		for i, x := range m.frames[c] {
			m.windowed[i] = x * m.window[i]
		}
		m.plan.Transform(m.spectra[c], m.windowed)
		heard[c] = m.heard(m.spectra[c])
	}
	seconds := float64(m.size/2) / float64(m.rateHz)
	m.weight *= math.Exp(seconds / memorySeconds)
	speaks := false
	for c, power := range heard {
		m.floor[c] = min(power+math.SmallestNonzeroFloat64, m.floor[c]*db.ToPower(floorRise*seconds))
		speaks = speaks || power > m.floor[c]*db.ToPower(overFloorDB)
	}
	if speaks {
		m.sort(heard)
		if m.estranged(heard, seconds) {
			m.Reset()
			return
		}
	}
	if m.weight > 1e100 {
		for i := range m.classes {
			m.classes[i].scale(1 / m.weight)
		}
		m.weight = 1
	}
}

// heard gives the K-weighted mean square of a stretch.
func (m *Meter) heard(spectrum []complex128) float64 {
	sum := 0.0
	for i, x := range spectrum {
		sum += m.weights[i] * (real(x)*real(x) + imag(x)*imag(x))
	}
	const hann = 3.0 / 8 // mean square of the window
	return 2 * sum / (hann * float64(m.size) * float64(m.size))
}

// estranged tells, once people have been heard speaking for some seconds of
// whom nobody is known, that what is known is of before.
func (m *Meter) estranged(heard [2]float64, seconds float64) bool {
	away := math.Inf(1)
	for _, middle := range m.middles {
		away = min(away, math.Abs(apartDB(heard)-middle)) // NaN where nobody is known
	}
	switch {
	case math.IsNaN(away):
		seconds = -m.strange
	case away <= heapDB:
		seconds *= -fitting
	}
	m.strange = max(0, m.strange+seconds)
	return away > heapDB && m.strange > strangeSeconds
}

// apartDB is the level of the first microphone over the second.
func apartDB(heard [2]float64) float64 {
	return max(-reachDB, min(db.FromPower(heard[0]/heard[1]), reachDB))
}

func (m *Meter) sort(heard [2]float64) {
	apart := apartDB(heard)
	c := &m.classes[int(math.Round((apart+reachDB)/stepDB))]
	c.count += m.weight
	for k := range heard {
		c.heard[k] += m.weight * heard[k]
	}
	one, two := m.spectra[0][m.first:m.last], m.spectra[1][m.first:m.last]
	for i, x := range one {
		y := two[i]
		c.power[0][i] += m.weight * (real(x)*real(x) + imag(x)*imag(x))
		c.power[1][i] += m.weight * (real(y)*real(y) + imag(y)*imag(y))
		c.shared[i] += complex(m.weight, 0) * y * complex(real(x), -imag(x))
	}
}

func (c *class) scale(by float64) {
	c.count *= by
	for k := range c.heard {
		c.heard[k] *= by
		for i := range c.power[k] {
			c.power[k][i] *= by
		}
	}
	for i := range c.shared {
		c.shared[i] *= complex(by, 0)
	}
}
