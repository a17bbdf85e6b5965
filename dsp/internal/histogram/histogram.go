// Package histogram keeps the levels of any number of blocks in bounded
// memory.
package histogram

import (
	"math"

	"rollready/dsp/db"
)

// Histogram counts powers by level. A bin also keeps the exact sum of its
// powers, so means are exact but for the blocks that share a bin with a
// limit.
type Histogram struct {
	lowDB, stepDB float64
	count         []int64
	power         []float64
	blocks        int64
	total         float64
}

// New makes a histogram from lowDB to highDB in steps. Lower levels count in
// the first bin, higher ones in the last.
func New(lowDB, highDB, stepDB float64) *Histogram {
	bins := int(math.Ceil((highDB - lowDB) / stepDB))
	return &Histogram{lowDB: lowDB, stepDB: stepDB, count: make([]int64, bins), power: make([]float64, bins)}
}

// Reset forgets everything.
func (h *Histogram) Reset() {
	clear(h.count)
	clear(h.power)
	h.blocks, h.total = 0, 0
}

// Add counts a block of a power. It does not allocate.
func (h *Histogram) Add(power float64) {
	bin := h.bin(power)
	h.count[bin]++
	h.power[bin] += power
	h.blocks++
	h.total += power
}

func (h *Histogram) bin(power float64) int {
	at := (db.FromPower(power) - h.lowDB) / h.stepDB
	return int(max(0, min(at, float64(len(h.count)-1))))
}

// Blocks gives the number of blocks.
func (h *Histogram) Blocks() int64 { return h.blocks }

// Mean gives the mean power of all blocks; 0 without any.
func (h *Histogram) Mean() float64 { return h.total / float64(max(1, h.blocks)) }

// Above gives number and mean power of the blocks above a gate.
func (h *Histogram) Above(gate float64) (blocks int64, mean float64) {
	sum := 0.0
	for bin := h.first(gate); bin < len(h.count); bin++ {
		blocks += h.count[bin]
		sum += h.power[bin]
	}
	return blocks, sum / float64(max(1, blocks))
}

// first gives the first bin whose blocks lie above a gate in the mean.
func (h *Histogram) first(gate float64) int {
	bin := h.bin(gate)
	for bin < len(h.count) && h.power[bin] <= gate*float64(h.count[bin]) {
		bin++
	}
	return bin
}

// Quantile gives the power that a share q of the blocks above a gate do not
// exceed: that of rank round((n−1)·q), from 0, as EBU Tech 3342 counts. 0
// without blocks.
func (h *Histogram) Quantile(q, gate float64) float64 {
	blocks, _ := h.Above(gate)
	rank := int64(math.Round(float64(blocks-1) * q))
	for bin := h.first(gate); bin < len(h.count) && blocks > 0; bin++ {
		if rank -= h.count[bin]; rank < 0 {
			return h.power[bin] / float64(h.count[bin])
		}
	}
	return 0
}

// Between gives the mean power of the blocks whose rank lies from the share
// low to the share high of all; at least one block, 0 without any.
func (h *Histogram) Between(low, high float64) float64 {
	from := int64(low * float64(h.blocks))
	to := max(from+1, int64(math.Ceil(high*float64(h.blocks))))
	passed, taken, sum := int64(0), int64(0), 0.0
	for bin, n := range h.count {
		inside := min(passed+n, to) - max(passed, from)
		if inside > 0 {
			sum += h.power[bin] / float64(n) * float64(inside)
			taken += inside
		}
		passed += n
	}
	return sum / float64(max(1, taken))
}
