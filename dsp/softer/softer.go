// Package softer recognises a recording of one sound on two channels, one of
// them lower so that it holds what overloads the other: what the layout
// strips.Safety makes of a camera's two tracks. It says how much lower, and
// when the louder one is cut.
//
// # How it is told from stereo
//
// In hops of 10 ms with sound the two channels of such a clip differ by a
// factor and by noise alone: their levels keep one distance, their waves agree
// also where the highs are lifted (by the difference from sample to sample),
// and neither comes later. Of two microphones, or of one that hears a room,
// nothing of that holds. Where the louder channel is limited its distance is
// less; hops of one distance, the commonest, are what counts.
//
// # How cuts are found
//
// What is low in a hop gives the factor between the channels, and how far they
// else differ. Where the lower channel promises a crest that the louder one
// does not reach by much more than that, it is cut: this needs no flat top, so
// that it holds behind a codec, a capacitor or an automatic level. Where the
// whole hop is turned down, it is limited, and whole. All limits are set by
// computed scenes.
package softer

import (
	"math"

	"rollready/dsp/db"
)

const (
	hopsPerSecond = 100
	leastDB       = 5.0  // distances that a person sets on purpose
	mostDB        = 21.0 //
	underMeanDB   = 12.0 // hops further under the mean say nothing
	silentDBFS    = -60.0
	leastHops     = 50
	knownHops     = 5
	perDB         = 10  // classes of distances
	aroundDB      = 0.7 // hops so near to the commonest distance have it
	leastShare    = 0.5 // of the hops that are not overloaded
	sameWave      = 0.97
	sameHighs     = 0.80
	laterFrames   = 0.2
	doubtHops     = 1000 // that have another distance: from then on every fourth hop is looked at …
	doubtDB       = 2.0  // … where that lies so far outside
	joinSeconds   = 0.5  // cuts nearer than that are one stretch
	mostStretches = 10000
)

const classes = 2*perDB*40 + 1

// Stretch is a part of a recording in which the louder channel is cut.
type Stretch struct {
	From, To int64 // frames, To not included
	Both     bool  // the lower channel is cut as well

	top    float64 // of the louder channel there
	louder int
}

// Found is a safety layout in a recording.
type Found struct {
	Louder  int     // the louder channel, 0 or 1; the other one is the safety
	LowerDB float64 // by how much the other is lower
	Cut     []Stretch
}

// Meter looks for a safety layout in stereo frames. Not safe for concurrent use.
type Meter struct {
	rateHz, size int
	x            [2][]float64 // the hop being filled
	filled       int
	before       [2]float64 // the last sample of the hop before
	at           int64      // frames before this hop
	mean         float64    // power of the lower channel in the hops that count
	classes      [classes]class
	counted      int
	commonest    int // class
	pending      Stretch
	limited      bool    // the hop before
	cuts, limits int     // hops
	top          float64 // of the louder channel
	apart        float64 // mean of what the channels differ by, for the hop's height
	cut          [2][]Stretch
}

// class are the hops of one distance.
type class struct {
	hops          int
	aa, bb, ab    float64 // of the waves
	daa, dbb, dab float64 // of their differences from sample to sample
	ahead, behind float64 // the latter, one of them a frame later
}

// New makes a meter for a sample rate.
func New(rateHz int) *Meter {
	m := &Meter{rateHz: rateHz, size: max(1, rateHz/hopsPerSecond)}
	for c := range m.x {
		m.x[c] = make([]float64, m.size)
	}
	return m
}

// Process takes interleaved stereo frames. Frames that are not finite count as
// silence. It allocates only where a stretch begins.
func (m *Meter) Process(block []float32) {
	for i := 0; i+1 < len(block); i += 2 {
		a, b := float64(block[i]), float64(block[i+1])
		if a-a+b-b != 0 {
			a, b = 0, 0
		}
		m.x[0][m.filled], m.x[1][m.filled] = a, b
		if m.filled++; m.filled == m.size {
			m.hop()
			m.filled = 0
		}
	}
}

func (m *Meter) hop() {
	if m.doubtful() && m.at/int64(m.size)%4 != 0 {
		m.end()
		return
	}
	h := measure(m.x, m.before)
	lower := min(h.aa, h.bb) / float64(m.size)
	if lower > db.ToPower(silentDBFS-db.SineRMS) && lower > m.mean*db.ToPower(-underMeanDB) && !m.overloaded(m.louder(&h)) {
		m.sort(&h)
		m.mean += (lower - m.mean) / float64(m.counted)
	}
	m.end()
}

func (m *Meter) end() {
	m.before = [2]float64{m.x[0][m.size-1], m.x[1][m.size-1]}
	m.at += int64(m.size)
}

// measure sums up a hop, without its zero line.
func measure(x [2][]float64, before [2]float64) (h class) {
	a, b := x[0], x[1]
	b = b[:len(a)]
	var sa, sb, beforeA, beforeB float64
	h.hops = 1
	lastA, lastB := before[0], before[1]
	for i, va := range a {
		vb := b[i]
		sa, sb = sa+va, sb+vb
		h.aa, h.bb, h.ab = h.aa+va*va, h.bb+vb*vb, h.ab+va*vb
		da, dB := va-lastA, vb-lastB
		h.daa, h.dbb, h.dab = h.daa+da*da, h.dbb+dB*dB, h.dab+da*dB
		h.ahead, h.behind = h.ahead+da*beforeB, h.behind+dB*beforeA
		lastA, lastB, beforeA, beforeB = va, vb, da, dB
	}
	n := float64(len(a))
	h.aa, h.bb, h.ab = h.aa-sa*sa/n, h.bb-sb*sb/n, h.ab-sa*sb/n
	return h
}

// louder is the louder channel, by what came so far or by this hop.
func (m *Meter) louder(h *class) int {
	if m.known() && m.commonest > classes/2 || !m.known() && h.bb > h.aa {
		return 1
	}
	return 0
}

// sort sorts a hop by its distance.
func (m *Meter) sort(h *class) {
	m.counted++
	k := int(math.Round(perDB*db.FromPower(h.bb/h.aa))) + classes/2
	k = max(0, min(k, classes-1))
	m.classes[k].add(h)
	if m.classes[k].hops > m.classes[m.commonest].hops {
		m.commonest = k
	}
}

func (c *class) add(h *class) {
	c.hops += h.hops
	c.aa, c.bb, c.ab = c.aa+h.aa, c.bb+h.bb, c.ab+h.ab
	c.daa, c.dbb, c.dab = c.daa+h.daa, c.dbb+h.dbb, c.dab+h.dab
	c.ahead, c.behind = c.ahead+h.ahead, c.behind+h.behind
}

// doubtful tells that it is surely something else, by what came so far.
func (m *Meter) doubtful() bool {
	dB := math.Abs(float64(m.commonest-classes/2)) / perDB
	return m.counted >= doubtHops && (dB < leastDB-doubtDB || dB > mostDB+doubtDB)
}

func (m *Meter) known() bool { return m.counted >= knownHops }

// usual is the factor from the louder channel to the other, by what came so far.
func (m *Meter) usual(louder int) float64 {
	dB := float64(m.commonest-classes/2) / perDB
	if louder == 1 {
		dB = -dB
	}
	return db.ToAmplitude(dB)
}
