package hearing

import (
	"math"

	"rollready/dsp/lowend"
	"rollready/dsp/noise"
	"rollready/dsp/pitch"
	"rollready/dsp/spectrum"
)

// memory is how many blocks are remembered: 20 s.
const memory = 20 * blocksPerSecond

// block is what is kept of a twentieth of a second.
type block struct {
	dc, flat, weighted float64 // mean, and mean squares without it
	low                float64 // mean square of the low end
	in, out            float32 // peaks before and behind the chain
	voiced             bool
}

// channel is the memory of one channel.
type channel struct {
	energy *noise.Block
	pitch  *pitch.Tracker
	voiced int64 // looks of the tracker, counted already
	low    *lowend.Block
	now    block // being filled
	past   [memory]block
	narrow [2]*spectrum.Welch // take turns, so that one always knows the last seconds
	heard  [2]int             // samples at the low rate that each has taken
	last   Hum                // of the last look
	peaks  peaks
	speech spoken  // of whom counts here
	sense  sense   // at the last look
	loud   float64 // mean square of the last voice, A-weighted; 0: none yet
	sorted [memory]float64
}

func (k *channel) endBlock(n int64) {
	k.now.dc, k.now.flat, k.now.weighted = k.energy.Take()
	k.now.low, _, _ = k.low.Take()
	if count := k.pitch.Voiced(); count != k.voiced {
		k.now.voiced, k.voiced = true, count
	}
	k.past[n%memory] = k.now
	k.now = block{}
}

// both compares two channels, block by block.
type both struct {
	first [256]float64 // of the first channel, while the second's comes
	n     int
	now   moments
	past  [memory]moments
}

// moments are the sums of squares and products of two channels.
type moments struct{ aa, bb, ab float64 }

// add takes the channels' sound in turn.
func (b *both) add(c int, x []float64) {
	if c == 0 {
		b.n = copy(b.first[:], x)
		return
	}
	for i, v := range x[:min(len(x), b.n)] {
		u := b.first[i]
		b.now.aa, b.now.bb, b.now.ab = b.now.aa+u*u, b.now.bb+v*v, b.now.ab+u*v
	}
}

func (b *both) endBlock(n int64) {
	b.past[n%memory] = b.now
	b.now = moments{}
}

// correlation is that of sums; 0 where a channel is silent.
func (m moments) correlation() float64 {
	if m.aa == 0 || m.bb == 0 {
		return 0
	}
	return m.ab / math.Sqrt(m.aa*m.bb)
}

// mono is what is left of the power of both in mono.
func (m moments) mono() float64 { return max(0, m.aa+m.bb+2*m.ab) / max(m.aa+m.bb, 1e-30) }
