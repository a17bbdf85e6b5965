package loudness

import (
	"math"

	"rollready/dsp/db"
)

const (
	gateLUFS = -70.0 // absolute gate
	topLUFS  = 30.0
	binLU    = 0.01
	binCount = int((topLUFS - gateLUFS) / binLU)
	offsetLU = -0.691 // ITU-R BS.1770-5 Annex 1 eq. (2)
)

// lufs gives the loudness of a weighted mean square.
func lufs(meanSquare float64) float64 { return offsetLU + db.FromPower(meanSquare) }

// histogram keeps the loudness of all blocks above the absolute gate in
// bounded memory. A bin keeps the exact energy of its blocks, so means are
// exact but for the blocks within 0.01 LU of a relative gate.
type histogram struct {
	count  [binCount]int64
	energy [binCount]float64
	blocks int64
	total  float64
}

func (h *histogram) add(meanSquare float64) {
	at := lufs(meanSquare)
	if !(at > gateLUFS) {
		return
	}
	bin := min(int((at-gateLUFS)/binLU), binCount-1)
	h.count[bin]++
	h.energy[bin] += meanSquare
	h.blocks++
	h.total += meanSquare
}

// above gives the first bin whose blocks lie above a gate relative to the
// mean of everything, in LU.
func (h *histogram) above(relativeLU float64) int {
	if h.blocks == 0 {
		return binCount
	}
	gate := h.total / float64(h.blocks) * db.ToPower(relativeLU)
	bin := max(0, int((lufs(gate)-gateLUFS)/binLU))
	for bin < binCount && (h.count[bin] == 0 || h.energy[bin] <= gate*float64(h.count[bin])) {
		bin++
	}
	return bin
}

// gatedMean gives the loudness of the mean of all blocks from a bin on.
func (h *histogram) gatedMean(from int) float64 {
	blocks, energy := int64(0), 0.0
	for bin := from; bin < binCount; bin++ {
		blocks += h.count[bin]
		energy += h.energy[bin]
	}
	if blocks == 0 {
		return math.Inf(-1)
	}
	return lufs(energy / float64(blocks))
}

// spread gives the distance in LU between the two quantiles of the blocks from
// a bin on, as EBU Tech 3342 counts them: rank round((n−1)·q), from 0.
func (h *histogram) spread(from int, low, high float64) float64 {
	blocks := int64(0)
	for bin := from; bin < binCount; bin++ {
		blocks += h.count[bin]
	}
	if blocks == 0 {
		return 0
	}
	return h.ranked(from, rank(blocks, high)) - h.ranked(from, rank(blocks, low))
}

func rank(blocks int64, q float64) int64 { return int64(math.Round(float64(blocks-1) * q)) }

// ranked gives the mean loudness of the bin that holds the block of a rank.
func (h *histogram) ranked(from int, rank int64) float64 {
	for bin := from; bin < binCount; bin++ {
		if rank -= h.count[bin]; rank < 0 {
			return lufs(h.energy[bin] / float64(h.count[bin]))
		}
	}
	return math.Inf(-1)
}
