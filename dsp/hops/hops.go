// Package hops cuts sound into stretches of one length, so that what is looked at
// between them does not depend on the blocks in which it came.
package hops

// Hops cuts interleaved frames of so many channels into hops of so many Frames.
type Hops struct{ Channels, Frames, filled int }

// Cut gives every part of the block to part, and calls end at the end of each hop.
// It does not allocate.
func (h *Hops) Cut(block []float32, part func([]float32), end func()) {
	for len(block) >= h.Channels {
		n := min(h.Frames-h.filled, len(block)/h.Channels)
		part(block[:n*h.Channels])
		block = block[n*h.Channels:]
		if h.filled += n; h.filled == h.Frames {
			h.filled = 0
			end()
		}
	}
}

// Begun tells whether a hop is under way.
func (h *Hops) Begun() bool { return h.filled > 0 }

// Reset drops the hop that is under way.
func (h *Hops) Reset() { h.filled = 0 }
