package compare

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/loudness"
)

const (
	blocksPerSecond = 10   // gating blocks of 400 ms overlap by 75 %, ITU-R BS.1770-5 Annex 1
	absoluteGate    = -70  // LUFS
	relativeGate    = -10  // LU
	maxMatchDB      = 30.0 // beyond, one side is as good as silent
	longestWindow   = 60   // seconds
)

// Matcher measures by how much one side is louder than the other over the
// last seconds, so that the louder one does not win by being louder. Each
// side's loudness is the gated loudness of ITU-R BS.1770-5 over the window.
// One goroutine uses it.
type Matcher struct {
	meters  [2]*loudness.Meter
	blocks  [2][]float64 // mean squares of the gating blocks, rings of the window's length
	count   int
	samples int // of a tenth of a second
	filled  int
	last    float64
	known   bool
}

// NewMatcher makes a matcher that listens to the last seconds, at most 60.
func NewMatcher(rateHz, channels int, seconds float64) *Matcher {
	m := &Matcher{samples: rateHz / blocksPerSecond * channels}
	n := max(1, min(longestWindow, int(math.Round(seconds)))*blocksPerSecond)
	for s := range m.meters {
		m.meters[s] = loudness.New(rateHz, channels)
		m.blocks[s] = make([]float64, n)
	}
	return m
}

// Process takes the two outputs, without gains for the ear. It does not allocate.
func (m *Matcher) Process(outputs [2][]float32) {
	for at := 0; at < len(outputs[A]); {
		n := min(m.samples-m.filled, len(outputs[A])-at)
		for s, x := range outputs {
			m.meters[s].Process(x[at : at+n])
		}
		at += n
		if m.filled += n; m.filled == m.samples {
			m.filled = 0
			m.block()
		}
	}
}

func (m *Matcher) block() {
	for s, meter := range m.meters {
		m.blocks[s][m.count%len(m.blocks[s])] = db.ToPower(meter.Momentary())
	}
	m.count++
	a, b := gated(m.blocks[A]), gated(m.blocks[B])
	if a > 0 && b > 0 {
		m.last, m.known = max(-maxMatchDB, min(maxMatchDB, db.FromPower(b/a))), true
	}
}

// gated gives the mean of the blocks that pass both gates; 0 if none does.
func gated(blocks []float64) float64 {
	return meanAbove(blocks, meanAbove(blocks, db.ToPower(absoluteGate))*db.ToPower(relativeGate))
}

func meanAbove(blocks []float64, gate float64) float64 {
	sum, n := 0.0, 0.0
	for _, p := range blocks {
		if p > gate {
			sum, n = sum+p, n+1
		}
	}
	return sum / max(1, n)
}

// DifferenceDB is by how many LU side B is louder than side A. Through
// silence the last figure stands; ok is false while none is known.
func (m *Matcher) DifferenceDB() (lu float64, ok bool) { return m.last, m.known }

// GainsDB gives the gains that make both sides equally loud: the louder one
// is lowered, the other is left, so nothing can overload.
func (m *Matcher) GainsDB() (gains [2]float64) {
	gains[A], gains[B] = min(0, m.last), min(0, -m.last)
	return gains
}
