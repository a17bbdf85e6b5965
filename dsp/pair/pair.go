// Package pair compares the two channels of a stereo signal: polarity
// inversion, loss in mono, a dead channel, twice the same.
package pair

import (
	"math"

	"rollready/dsp/db"
)

// Meter sums up both channels. The zero Meter is ready. Not safe for
// concurrent use.
type Meter struct {
	frames     float64
	a, b       float64 // sums
	aa, bb, ab float64 // sums of squares and products
}

// Process takes interleaved stereo frames. Frames that are not finite count
// as silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	var sa, sb, aa, bb, ab float64
	for i := 0; i+1 < len(block); i += 2 {
		a, b := float64(block[i]), float64(block[i+1])
		if a-a+b-b != 0 {
			continue
		}
		sa, sb = sa+a, sb+b
		aa, bb, ab = aa+a*a, bb+b*b, ab+a*b
	}
	m.frames += float64(len(block) / 2)
	m.a, m.b = m.a+sa, m.b+sb
	m.aa, m.bb, m.ab = m.aa+aa, m.bb+bb, m.ab+ab
}

// moments gives the mean squares and the mean product without DC.
func (m *Meter) moments() (aa, bb, ab float64) {
	n := max(1, m.frames)
	a, b := m.a/n, m.b/n
	return max(0, m.aa/n-a*a), max(0, m.bb/n-b*b), m.ab/n - a*b
}

// Correlation gives +1 for the same signal in both channels, −1 for one
// inverted, 0 for unrelated signals and where a channel is silent.
func (m *Meter) Correlation() float64 {
	aa, bb, ab := m.moments()
	if aa == 0 || bb == 0 {
		return 0
	}
	return max(-1, min(ab/math.Sqrt(aa*bb), 1))
}

// MonoDB gives what is left of the power of both channels when they are
// summed to mono: +3 dB for the same signal, 0 dB for unrelated ones, −Inf
// where they cancel.
func (m *Meter) MonoDB() float64 {
	aa, bb, ab := m.moments()
	if aa+bb == 0 {
		return 0
	}
	return db.FromPower(max(0, aa+bb+2*ab) / (aa + bb))
}

// BalanceDB gives how far the second channel lies above the first.
func (m *Meter) BalanceDB() float64 {
	aa, bb, _ := m.moments()
	if aa == bb {
		return 0
	}
	return db.FromPower(bb / aa)
}

// Identical tells whether the channels differ by less than a thousandth.
func (m *Meter) Identical() bool {
	aa, bb, ab := m.moments()
	return aa+bb > 0 && aa+bb-2*ab < 1e-6*(aa+bb)
}

// Reset forgets everything.
func (m *Meter) Reset() { *m = Meter{} }
