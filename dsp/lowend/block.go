package lowend

import "rollready/dsp/filter"

// Block sums up one channel in blocks whose ends somebody else sets: the powers
// that a Meter keeps, one by one. Not safe for concurrent use.
type Block struct {
	sections []filter.Biquad
	state    [2]filter.State
	low, all float64 // sums of squares behind and before the filter
	n        int
}

// NewBlock begins at a low rate in Hz.
func NewBlock(rateHz float64) *Block {
	return &Block{sections: filter.LowPass(filter.Cut{Hz: cutHz, Slope: 6 * order}, int(rateHz))}
}

// Process takes samples. It does not allocate.
func (b *Block) Process(x []float64) {
	for _, v := range x {
		y := v + trickle
		for k := range b.sections {
			y = b.state[k].Step(&b.sections[k], y)
		}
		b.low += y * y
		b.all += v * v
	}
	b.n += len(x)
}

// Take ends the block and gives the mean square of what lies under 50 Hz, that of
// the rest, and whether the former is most of the sound.
func (b *Block) Take() (power, rest float64, bare bool) {
	n := float64(max(1, b.n))
	power, rest, bare = b.low/n, max(0, b.all-b.low)/n, b.low > bareShare*b.all
	b.low, b.all, b.n = 0, 0, 0
	return power, rest, bare
}
