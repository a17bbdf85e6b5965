package noise

import (
	"rollready/dsp/db"
	"rollready/dsp/internal/histogram"
)

// Figures of lively stretches (common practice, no source, set by trial with
// computed voices): speech, also whispered, has some four syllables a second.
const (
	livelyBlocks = 20   // 2 s
	livelyMoves  = 8    // steps from block to block …
	livelyStep   = 3.0  // … of so many dB
	livelySwing  = 12.0 // dB from the softest to the loudest
)

// lively finds stretches whose level moves as that of speech does.
type lively struct {
	level [livelyBlocks]float64 // dB, A-weighted
	n     int
	tops  *histogram.Histogram // powers of the loudest block of lively stretches
}

func newLively() lively { return lively{tops: histogram.New(lowestDB, highestDB, 1)} }

// push takes the next block.
func (l *lively) push(power float64) {
	l.level[l.n] = db.FromPower(power + 1e-20)
	if l.n++; l.n < livelyBlocks {
		return
	}
	l.n = 0
	low, high, moves := l.level[0], l.level[0], 0
	for i, v := range l.level[1:] {
		low, high = min(low, v), max(high, v)
		if step := v - l.level[i]; step >= livelyStep || step <= -livelyStep {
			moves++
		}
	}
	if moves >= livelyMoves && high-low >= livelySwing {
		l.tops.Add(db.ToPower(high))
	}
}

// LivelySeconds gives for how long the A-weighted level of a channel moved as
// speech does and reached above a level.
func (m *Meter) LivelySeconds(ch int, aboveDBFS float64) float64 {
	n, _ := m.ch[ch].lively.tops.Above(db.ToPower(aboveDBFS - db.SineRMS))
	return float64(n*livelyBlocks) / blocksPerSecond
}
