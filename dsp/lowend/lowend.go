// Package lowend watches what lies under a voice: rumble, wind and the thumps
// of plosives.
package lowend

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/internal/histogram"
)

const (
	cutHz        = 50.0 // 24 dB per octave: 18 dB off a deep voice's 85 Hz
	order        = 4    // of its Butterworth filter
	longBlocks   = 8    // 0.4 s: short enough for gusts, long enough for steady rumble to be steady
	bareShare    = 0.5  // of all under 1 kHz: no voice has so much under 50 Hz
	quietest     = 0.1  // of the time
	settleBlocks = 4    // the filter's start is not counted
	trickle      = 1e-20
)

// BlockSeconds is the length of the blocks that are looked at: about a thump.
const BlockSeconds = 0.05

// Meter watches one channel that a lowrate.Decimator feeds. Not safe for
// concurrent use.
type Meter struct {
	now          *Block
	size, filled int
	long         float64
	barely       int // bare blocks of the present long one
	bareSum      float64
	bare, swells *histogram.Histogram
	blocks       int64
	short, gusts *histogram.Histogram
	rest         *histogram.Histogram // what does not lie under 50 Hz
}

// New makes a meter at a low rate in Hz.
func New(rateHz float64) *Meter {
	return &Meter{now: NewBlock(rateHz), size: int(BlockSeconds * rateHz),
		short: histogram.New(-160, 40, 0.1), gusts: histogram.New(-160, 40, 0.1),
		rest: histogram.New(-160, 40, 0.1), bare: histogram.New(-160, 40, 0.1), swells: histogram.New(-160, 40, 0.1)}
}

// Process takes samples. It does not allocate.
func (m *Meter) Process(x []float64) {
	for len(x) > 0 {
		n := min(len(x), m.size-m.filled)
		m.now.Process(x[:n])
		x = x[n:]
		if m.filled += n; m.filled == m.size {
			m.endBlock()
		}
	}
}

func (m *Meter) endBlock() {
	power, rest, bare := m.now.Take()
	m.filled = 0
	if m.blocks++; m.blocks <= settleBlocks {
		return
	}
	m.short.Add(power)
	m.rest.Add(rest)
	m.long += power / longBlocks
	if bare {
		m.bare.Add(power)
		m.barely, m.bareSum = m.barely+1, m.bareSum+power
	}
	if (m.blocks-settleBlocks)%longBlocks == 0 {
		m.gusts.Add(m.long)
		if m.barely >= longBlocks/2 {
			m.swells.Add(m.bareSum / float64(m.barely))
		}
		m.long, m.barely, m.bareSum = 0, 0, 0
	}
}

// LevelDBFS gives the mean level under 50 Hz, AES17.
func (m *Meter) LevelDBFS() float64 { return db.RMS(m.short.Mean()) }

// GustsDB gives how far the level swings over 0.4 s: the distance between
// those exceeded a tenth and nine tenths of the time. Steady rumble stays
// under 5 dB. 0 before there is anything to compare.
func (m *Meter) GustsDB() float64 {
	if m.gusts.Blocks() < 4 {
		return 0
	}
	return db.FromPower(m.gusts.Quantile(0.9, 0) / (m.gusts.Quantile(0.1, 0) + 1e-30))
}

// Bare gives the share of time in which most of the sound lies under 50 Hz, as
// it does in a rumbling room between the words, and the level there in dBFS.
func (m *Meter) Bare() (share, levelDBFS float64) {
	return float64(m.bare.Blocks()) / float64(max(1, m.short.Blocks())), db.RMS(m.bare.Quantile(0.5, 0))
}

// OverRestDB is how far the low end stands over the rest of the sound in its
// quietest moments: under 0 it is only part of a noise that goes on above it.
func (m *Meter) OverRestDB() float64 {
	return db.FromPower(m.short.Quantile(0.5, 0) / (m.rest.Quantile(quietest, 0) + 1e-30))
}

// Passes gives what the meter takes of the power of a tone: half at 50 Hz.
func Passes(hz float64) float64 { return 1 / (1 + math.Pow(hz/cutHz, 2*order)) }

// BareThumps gives how many blocks of mostly low sound lie above a level in dBFS.
func (m *Meter) BareThumps(aboveDBFS float64) int64 {
	n, _ := m.bare.Above(db.ToPower(aboveDBFS - db.SineRMS))
	return n
}

// BareGustsDB is GustsDB where most of the sound lies under 50 Hz.
func (m *Meter) BareGustsDB() float64 {
	if m.swells.Blocks() < 4 {
		return 0
	}
	return db.FromPower(m.swells.Quantile(0.9, 0) / (m.swells.Quantile(0.1, 0) + 1e-30))
}
