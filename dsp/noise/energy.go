package noise

import "rollready/dsp/filter"

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
