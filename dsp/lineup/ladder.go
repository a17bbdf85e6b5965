package lineup

import (
	"slices"

	"rollready/dsp/db"
	"rollready/dsp/lineup/sequence"
)

// rung is one step of the ladder as the camera recorded it.
type rung struct {
	reading
	outDBFS float64 // level sent
	gainDB  float64 // recorded level over level sent
}

// Parts of a rung left out at its ends: the change of level, the camera's own
// delay, and a fast limiter's settling.
const (
	rungHead = 0.05
	rungTail = 0.005
)

// ladder reads every rung of one channel.
func (r *recording) ladder(channel int) []rung {
	var p probe
	var rungs []rung
	for _, s := range sequence.Of(sequence.Ladder) {
		read := p.read(r.core(channel, s, rungHead, rungTail), sequence.ToneHz/r.perSec)
		rungs = append(rungs, rung{read, s.LevelDBFS, db.FromAmplitude(read.amplitude) - s.LevelDBFS})
	}
	return rungs
}

// clearRungs keeps the rungs between two output levels whose tone stands above
// the noise by a ratio.
func clearRungs(rungs []rung, from, to, above float64) []rung {
	var kept []rung
	for _, s := range rungs {
		if s.outDBFS >= from && s.outDBFS <= to && s.above() >= above {
			kept = append(kept, s)
		}
	}
	return kept
}

// lowGain is a first idea of the gain: that of the faintest rungs that are clear.
func lowGain(rungs []rung) (gainDB float64, ok bool) {
	for _, above := range []float64{100, 30, 10} {
		if kept := clearRungs(rungs, sequence.LowestDBFS, sequence.HighestDBFS, above); len(kept) >= 3 {
			return medianGain(kept[:min(10, len(kept))]), true
		}
	}
	return 0, false
}

// linearGain is the gain well below the clip point, where it is the same at
// every level; clipDBFS is an output level.
func linearGain(rungs []rung, clipDBFS float64) (gainDB float64, ok bool) {
	for _, above := range []float64{30, 10} {
		if kept := clearRungs(rungs, clipDBFS-25, clipDBFS-8, above); len(kept) >= 4 {
			return medianGain(kept), true
		}
	}
	return lowGain(clearRungs(rungs, sequence.LowestDBFS, clipDBFS-2, 5))
}

func medianGain(rungs []rung) float64 {
	gains := make([]float64, len(rungs))
	for i, s := range rungs {
		gains[i] = s.gainDB
	}
	slices.Sort(gains)
	middle := len(gains) / 2
	return (gains[middle] + gains[(len(gains)-1)/2]) / 2
}
