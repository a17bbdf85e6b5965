package lineup

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/lineup/sequence"
	"rollready/dsp/weighting"
)

// noise gives the rms level after AES17 of the sequence's silence, flat and
// A-weighted; missing in digital silence. The first part is left to die away.
func (r *recording) noise(channel int) (flat, weighted Figure) {
	x := r.core(channel, sequence.Find(sequence.Silence), 0.3, 0.05)
	settle := min(len(x), int(0.2*r.perSec))
	mean := 0.0
	for _, v := range x {
		mean += float64(v) / float64(len(x))
	}
	sections := weighting.Design(weighting.A, r.rateHz)
	states := make([]filter.State, len(sections))
	var plain, heard float64
	for i, v := range x {
		y := float64(v) - mean
		z := y
		for k := range sections {
			z = states[k].Step(&sections[k], z)
		}
		if i >= settle {
			plain += y * y
			heard += z * z
		}
	}
	n := float64(len(x) - settle)
	return level(plain / n), level(heard / n)
}

func level(meanSquare float64) Figure {
	if !(meanSquare > 1e-16) {
		return Figure(math.Inf(-1))
	}
	return Figure(db.RMS(meanSquare))
}
