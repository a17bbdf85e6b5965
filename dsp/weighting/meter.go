package weighting

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
)

// Time is a time constant in seconds.
type Time float64

// The time weightings of IEC 61672-1.
const (
	Fast Time = 0.125
	Slow Time = 1
)

// trickle keeps the filters' states off denormal numbers, which are slow; at
// −400 dB it is far below the floor under which a level reads −Inf.
const (
	trickle = 1e-20
	floor   = 1e-20 // mean square, −200 dB
)

// Meter gives the frequency- and time-weighted level of each channel. Not
// safe for concurrent use.
type Meter struct {
	sections []filter.Biquad
	part     float64 // of the way to the new square, per frame
	ch       []channel
}

type channel struct {
	state       [3]filter.State
	square, max float64
}

// New makes a meter for interleaved blocks of so many channels.
func New(curve Curve, time Time, rateHz, channels int) *Meter {
	return &Meter{sections: Design(curve, rateHz), ch: make([]channel, channels),
		part: 1 - math.Exp(-1/(float64(time)*float64(rateHz)))}
}

// Process takes interleaved frames. Values that are not finite count as
// silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	n := len(m.ch)
	for c := range m.ch {
		ch := &m.ch[c]
		square, top := ch.square, ch.max
		for i := c; i < len(block); i += n {
			x := float64(block[i])
			if x-x != 0 {
				x = 0
			}
			x += trickle
			for k := range m.sections {
				x = ch.state[k].Step(&m.sections[k], x)
			}
			square += (x*x - square) * m.part
			top = max(top, square)
		}
		ch.square, ch.max = square, top
	}
}

// LevelDBFS gives the present level of a channel, AES17.
func (m *Meter) LevelDBFS(ch int) float64 { return level(m.ch[ch].square) }

// HighestDBFS gives that of the loudest channel.
func (m *Meter) HighestDBFS() float64 {
	highest := m.LevelDBFS(0)
	for c := range m.ch {
		highest = max(highest, m.LevelDBFS(c))
	}
	return highest
}

// MaxDBFS gives the greatest level of a channel since Reset, AES17.
func (m *Meter) MaxDBFS(ch int) float64 { return level(m.ch[ch].max) }

// Reset forgets everything.
func (m *Meter) Reset() { clear(m.ch) }

func level(square float64) float64 {
	if square < floor {
		return math.Inf(-1)
	}
	return db.RMS(square)
}
