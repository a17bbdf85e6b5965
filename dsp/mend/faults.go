package mend

import (
	"math"
	"slices"

	"rollready/dsp/db"
)

const (
	ceilingPart = 0.98 // a flat run is one at the ceiling, not a quiet hold
	leastTops   = 4    // blocks: the one highest crest of a deep voice is as flat …
	fullScale   = 0.99 // … unless it is at full scale
	nearTop     = 0.89 // a codec rounds tops by a decibel …
	beyondDB    = 1.2  // … while the take says that the peak was so much higher
	highTop     = 0.85 // and the ceiling is near full scale
	holeDB      = 20.0 // the camera lies so far under what the take lets expect
	rareZeros   = 0.1  // of the blocks
	overFloorDB = 12.0 // where that lies so far over the camera's own room
	movedDB     = 6.0
	movedCells  = 3
	joinS       = 0.25 // stretches nearer than that are one
	padS        = 0.025
	leastS      = 0.04
)

// marks are the faults of a block.
type marks struct {
	clipped, broken, moved, takeBad bool
	movedDB                         float64
}

// expected is the camera's power that the take lets expect in a block: the
// least of those around, for a room smears.
func (h *heard) expected(i int) float64 {
	least := math.Inf(1)
	for k := max(0, i-1); k <= min(len(h.blocks)-1, i+1); k++ {
		least = min(least, float64(h.blocks[k].take))
	}
	return least * db.ToPower(h.near[i/cellBlocks])
}

func (h *heard) clipped(m []marks) {
	tops := 0
	for _, b := range h.blocks {
		if b.run >= ceilingPart*h.ceiling {
			tops++
		}
	}
	clips := tops >= leastTops || h.ceiling >= fullScale
	for i, b := range h.blocks {
		gain := db.ToAmplitude(h.near[i/cellBlocks])
		flat := clips && b.run >= ceilingPart*h.ceiling
		rounded := h.ceiling >= highTop && b.camPeak >= nearTop*h.ceiling && float64(b.takePeak)*gain > float64(b.camPeak)*db.ToAmplitude(beyondDB)
		m[i].clipped = flat || rounded && h.covered(h.seconds(i))
		m[i].takeBad = b.takeRun >= ceilingPart*h.tkCeiling || !h.covered(h.seconds(i))
	}
}

// broken marks blocks in which the camera is as good as silent while the take
// is not, two in a row or zeros in one.
func (h *heard) broken(m []marks) {
	silent := func(i int) bool {
		if i < 0 || i >= len(h.blocks) || !h.covered(h.seconds(i)) {
			return false
		}
		want := h.expected(i)
		b := h.blocks[i]
		loud := want > float64(h.camFloor)*db.ToPower(overFloorDB)
		return loud && (float64(b.cam) < want*db.ToPower(-holeDB) || float64(b.zeros) > holeS*blocksPerSecond)
	}
	nothing := h.zerosAreRare()
	for i, b := range h.blocks {
		zeros := float64(b.zeros) > holeS*blocksPerSecond
		m[i].broken = silent(i) && (zeros || silent(i-1) || silent(i+1))
		// A camera that hisses never gives nothing at all.
		m[i].broken = m[i].broken || nothing && b.zeros == 1 && h.covered(h.seconds(i))
	}
}

// zerosAreRare tells that blocks of nothing are no habit of the camera.
func (h *heard) zerosAreRare() bool {
	n := 0
	for _, b := range h.blocks {
		if b.zeros == 1 {
			n++
		}
	}
	return float64(n) < rareZeros*float64(len(h.blocks))
}

// moved marks where the camera's gain lies far from what it mostly is.
func (h *heard) moved(m []marks) {
	y := h.smooth()
	usual := median(y)
	for i := 0; i < len(y); {
		end := i
		for end < len(y) && (math.IsNaN(y[end]) || math.Abs(y[end]-usual) >= movedDB) {
			end++
		}
		known := median(y[i:end])
		if count(y[i:end]) >= movedCells {
			for k := i * cellBlocks; k < min(end*cellBlocks, len(m)); k++ {
				m[k].moved, m[k].movedDB = true, known-usual
				// Low, but there: not broken.
				m[k].broken = m[k].broken && float64(h.blocks[k].zeros) > holeS*blocksPerSecond
			}
		}
		i = end + 1
	}
}

func count(y []float64) (n int) {
	for _, v := range y {
		if !math.IsNaN(v) {
			n++
		}
	}
	return n
}

// stretches joins marked blocks.
func (h *heard) stretches(m []marks) []Stretch {
	var all []Stretch
	for i := 0; i < len(m); i++ {
		if !m[i].any() {
			continue
		}
		end, gap := i+1, 0
		for k := end; k < len(m) && gap <= int(joinS*blocksPerSecond); k++ {
			if gap++; m[k].any() {
				end, gap = k+1, 0
			}
		}
		all = append(all, h.stretch(m, i, end))
		i = end
	}
	return all
}

func (m marks) any() bool { return m.clipped || m.broken || m.moved }

func (h *heard) stretch(m []marks, from, end int) Stretch {
	s := Stretch{}
	bad, marked := 0, 0
	for _, k := range m[from:end] {
		s.add(k.clipped, Clipped)
		s.add(k.broken, BrokenUp)
		s.add(k.moved && !k.clipped, AutoLevel)
		if k.moved && math.Abs(k.movedDB) > math.Abs(s.MovedDB) {
			s.MovedDB = k.movedDB
		}
		if k.any() {
			marked++
			if k.takeBad {
				bad++
			}
		}
	}
	s.TakeBad = 4*bad > marked
	pad := int64(padS * float64(h.rateHz))
	if slices.Contains(s.Faults, AutoLevel) {
		pad = int64(cellBlocks * h.size) // its gain is known by the cell
	}
	length := int64(len(h.blocks) * h.size)
	s.From, s.To = max(0, int64(from*h.size)-pad), min(length, int64(end*h.size)+pad)
	if short := int64(leastS*float64(h.rateHz)) - (s.To - s.From); short > 0 {
		s.From, s.To = max(0, s.From-short/2), min(length, s.To+short/2)
	}
	return s
}

func (s *Stretch) add(is bool, f Fault) {
	if is && !slices.Contains(s.Faults, f) {
		s.Faults = append(s.Faults, f)
	}
}
