package survey

import "rollready/dsp/level"

// hopsPerSecond is how often lines and events are looked at.
const hopsPerSecond = 10

// hopper cuts blocks into hops of a tenth of a second, so that what is looked
// at between them does not depend on how the file was read.
type hopper struct{ channels, size, filled int }

func newHopper(rateHz, channels int) hopper {
	return hopper{channels: channels, size: max(1, rateHz/level.HopsPerSecond) * level.HopsPerSecond / hopsPerSecond}
}

// process gives every part of the block to part, and calls hop at the end of
// each hop.
func (h *hopper) process(block []float32, part func([]float32), hop func()) {
	for len(block) > 0 {
		n := min((h.size-h.filled)*h.channels, len(block))
		part(block[:n])
		block = block[n:]
		if h.filled += n / h.channels; h.filled == h.size {
			h.filled = 0
			hop()
		}
	}
}
