package noise

import (
	"rollready/dsp/filter"
	"rollready/dsp/weighting"
)

const trickle = 1e-20 // keeps the filters off denormal numbers, which are slow

// sums are those over the frames of a block.
type sums struct{ dc, flat, heard float64 }

// heard is the memory of the three sections of the A weighting, in transposed
// direct form II.
type heard struct{ p1, p2, q1, q2, r1, r2 float64 }

// add takes one channel of interleaved frames. Values that are not finite count
// as silence. The sections stand in one loop, with their memory in registers
// and what comes late at the end of each sum, so that the processor overlaps
// them.
func (h *heard) add(total *sums, s *[3]filter.Biquad, block []float32, stride int) {
	p1, p2, q1, q2, r1, r2 := h.p1, h.p2, h.q1, h.q2, h.r1, h.r2
	dc, flat, a := total.dc, total.flat, total.heard
	for i := 0; i < len(block); i += stride {
		x := float64(block[i])
		if x-x != 0 {
			x = 0
		}
		dc += x
		flat += x * x
		x += trickle
		y := s[0].B0*x + p1
		p1 = (s[0].B1*x + p2) - s[0].A1*y
		p2 = s[0].B2*x - s[0].A2*y
		z := s[1].B0*y + q1
		q1 = (s[1].B1*y + q2) - s[1].A1*z
		q2 = s[1].B2*y - s[1].A2*z
		w := s[2].B0*z + r1
		r1 = (s[2].B1*z + r2) - s[2].A1*w
		r2 = s[2].B2*z - s[2].A2*w
		a += w * w
	}
	*h = heard{p1, p2, q1, q2, r1, r2}
	*total = sums{dc, flat, a}
}

// Block sums up one channel in blocks whose ends somebody else sets: the powers
// that a Meter keeps, one by one. Not safe for concurrent use.
type Block struct {
	sections [3]filter.Biquad
	filter   heard
	sums     sums
	frames   int
}

// NewBlock begins at a sample rate.
func NewBlock(rateHz int) *Block {
	return &Block{sections: [3]filter.Biquad(weighting.Design(weighting.A, rateHz))}
}

// Process takes one channel, the first sample of which comes first, of
// interleaved frames of so many channels. It does not allocate.
func (b *Block) Process(block []float32, channels int) {
	b.filter.add(&b.sums, &b.sections, block, channels)
	b.frames += (len(block) + channels - 1) / channels
}

// Take ends the block and gives its mean, its mean square without it, and its
// mean square A-weighted.
func (b *Block) Take() (dc, flat, weighted float64) {
	n := float64(max(1, b.frames))
	dc = b.sums.dc / n
	flat, weighted = max(0, b.sums.flat/n-dc*dc), b.sums.heard/n
	b.sums, b.frames = sums{}, 0
	return dc, flat, weighted
}
