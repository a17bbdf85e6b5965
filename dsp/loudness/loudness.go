// Package loudness measures loudness in LUFS and loudness range in LU after
// ITU-R BS.1770-5 and EBU R 128, Tech 3341 and Tech 3342.
//
// Memory is flat with time. Momentary and short-term are renewed every 10 ms:
// coarser than 20 ms fails Tech 3341 cases 13 and 14.
package loudness

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/filter"
	"rollready/dsp/internal/abreast"
	"rollready/dsp/internal/histogram"
)

const (
	hopsPerSecond = 100
	momentaryHops = 40    // 400 ms
	shortTermHops = 300   // 3 s
	gatingHops    = 10    // a new gating block every 100 ms: 75 % overlap
	absoluteGate  = -70.0 // LUFS
	relativeGate  = -10.0 // LU
	rangeGate     = -20.0 // LU, EBU Tech 3342
	rangeLow      = 0.10
	rangeHigh     = 0.95
	offset        = -0.691 // dB, ITU-R BS.1770-5 Annex 1 eq. (2)
	binLU         = 0.01
	topLUFS       = 30.0
)

// Meter measures all channels together. Not safe for concurrent use.
type Meter struct {
	weights    []float64
	shelf, cut filter.Biquad
	rateHz     int

	ch     []weighted
	pair   *abreast.Cascade       // in place of them where there are two
	hops   [shortTermHops]float64 // weighted sum of squares of each hop, a ring
	done   int64                  // hops completed
	energy float64                // of the hop being filled
	filled int                    // frames in it
	size   int                    // frames it will have

	momentary, shortTerm       float64 // mean squares
	maxMomentary, maxShortTerm float64
	gated, ranged              *histogram.Histogram
	integrated                 float64
	stale                      bool // integrated must be computed anew
}

// New makes a meter for interleaved blocks in which every channel has weight 1.
func New(rateHz, channels int) *Meter {
	weights := make([]float64, channels)
	for i := range weights {
		weights[i] = 1
	}
	return NewWeighted(rateHz, weights)
}

// NewWeighted makes a meter with one weight per channel; BS.1770-5 gives
// surround channels 1.41 and leaves out the low-frequency channel.
func NewWeighted(rateHz int, weights []float64) *Meter {
	m := &Meter{weights: weights, rateHz: rateHz, ch: make([]weighted, len(weights)),
		gated: newHistogram(), ranged: newHistogram()}
	m.shelf, m.cut = kWeight(float64(rateHz))
	if len(weights) == 2 && abreast.Fast {
		m.pair = abreast.New(0, m.shelf, m.cut)
	}
	m.Reset()
	return m
}

func newHistogram() *histogram.Histogram {
	return histogram.New(absoluteGate-offset, topLUFS-offset, binLU)
}

// lufs gives the loudness of a weighted mean square.
func lufs(meanSquare float64) float64 { return offset + db.FromPower(meanSquare) }

// Reset forgets everything, as EBU Tech 3341 asks before each measurement.
func (m *Meter) Reset() {
	clear(m.ch)
	if m.pair != nil {
		m.pair.Reset()
	}
	clear(m.hops[:])
	m.done, m.energy, m.filled = 0, 0, 0
	m.size = m.nextHop()
	m.momentary, m.shortTerm, m.maxMomentary, m.maxShortTerm = 0, 0, 0, 0
	m.gated.Reset()
	m.ranged.Reset()
	m.integrated, m.stale = math.Inf(-1), false
}

// nextHop gives the frames of the hop to come, so that 100 hops are exactly a
// second at every rate.
func (m *Meter) nextHop() int {
	second := m.done % hopsPerSecond
	rate := int64(m.rateHz)
	return int(rate*(second+1)/hopsPerSecond - rate*second/hopsPerSecond)
}

// Process takes interleaved frames. Values that are not finite count as
// silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	n := len(m.weights)
	for len(block) >= n {
		frames := min(m.size-m.filled, len(block)/n)
		m.add(block[:frames*n])
		block = block[frames*n:]
		if m.filled += frames; m.filled == m.size {
			m.endHop()
		}
	}
}

func (m *Meter) add(block []float32) {
	if m.pair == nil {
		for c := range m.ch {
			m.energy += m.weights[c] * m.ch[c].energy(&m.shelf, &m.cut, block[c:], len(m.ch))
		}
		return
	}
	m.pair.Add(block)
	m.pair.Calm(slow)
	for c, power := range m.pair.Take().Power {
		m.energy += m.weights[c] * power
	}
}

func (m *Meter) endHop() {
	m.hops[m.done%shortTermHops] = m.energy
	m.done++
	m.energy, m.filled, m.size = 0, 0, m.nextHop()
	m.momentary, m.shortTerm = m.mean(momentaryHops), m.mean(shortTermHops)
	m.maxMomentary = max(m.maxMomentary, m.momentary)
	m.maxShortTerm = max(m.maxShortTerm, m.shortTerm)
	if m.done%gatingHops != 0 {
		return
	}
	if m.done >= momentaryHops {
		gate(m.gated, m.momentary)
		m.stale = true
	}
	if m.done >= shortTermHops {
		gate(m.ranged, m.shortTerm)
	}
}

// gate counts a block above the absolute gate.
func gate(h *histogram.Histogram, meanSquare float64) {
	if lufs(meanSquare) > absoluteGate {
		h.Add(meanSquare)
	}
}

// mean gives the weighted mean square of the last hops; before the start
// there was silence.
func (m *Meter) mean(hops int) float64 {
	sum, frames := 0.0, hops*m.rateHz/hopsPerSecond
	for at := int(m.done % shortTermHops); hops > 0; hops-- {
		if at == 0 {
			at = shortTermHops
		}
		at--
		sum += m.hops[at]
	}
	return sum / float64(frames)
}

// Momentary gives the loudness of the last 400 ms in LUFS.
func (m *Meter) Momentary() float64 { return lufs(m.momentary) }

// ShortTerm gives the loudness of the last 3 s in LUFS.
func (m *Meter) ShortTerm() float64 { return lufs(m.shortTerm) }

// MaxMomentary gives the greatest momentary loudness since Reset in LUFS.
func (m *Meter) MaxMomentary() float64 { return lufs(m.maxMomentary) }

// MaxShortTerm gives the greatest short-term loudness since Reset in LUFS. A
// signal shorter than 3 s counts as followed by silence.
func (m *Meter) MaxShortTerm() float64 { return lufs(m.maxShortTerm) }

// Integrated gives the gated loudness since Reset in LUFS.
func (m *Meter) Integrated() float64 {
	if m.stale {
		_, mean := m.gated.Above(m.gated.Mean() * db.ToPower(relativeGate))
		m.integrated, m.stale = lufs(mean), false
	}
	return m.integrated
}

// Range gives the loudness range since Reset in LU; 0 before the first 3 s.
func (m *Meter) Range() float64 {
	if m.ranged.Blocks() == 0 {
		return 0
	}
	above := m.ranged.Mean() * db.ToPower(rangeGate)
	return lufs(m.ranged.Quantile(rangeHigh, above)) - lufs(m.ranged.Quantile(rangeLow, above))
}

// Whole is the loudness of a whole recording.
type Whole struct {
	IntegratedLUFS   figure.Figure `json:"integrated_lufs" toml:"integrated_lufs"`
	RangeLU          figure.Figure `json:"loudness_range_lu" toml:"loudness_range_lu"`
	MaxMomentaryLUFS figure.Figure `json:"max_momentary_lufs" toml:"max_momentary_lufs"`
	MaxShortTermLUFS figure.Figure `json:"max_short_term_lufs" toml:"max_short_term_lufs"`
}

// Whole gives the loudness of all since Reset.
func (m *Meter) Whole() Whole {
	return Whole{figure.Figure(m.Integrated()), figure.Figure(m.Range()), figure.Figure(m.MaxMomentary()), figure.Figure(m.MaxShortTerm())}
}
