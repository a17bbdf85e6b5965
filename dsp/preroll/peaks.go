package preroll

import (
	"rollready/dsp/chain"
	"rollready/dsp/db"
	"rollready/dsp/hops"
	"rollready/dsp/internal/histogram"
	"rollready/dsp/truepeak"
)

const (
	blocksPerSecond = 100
	exceeded        = 0.01 // speech peaks: the level exceeded by this share of the blocks
	clicks          = 3    // so many blocks may be single clicks
)

// path runs frames through a chain of their own and hands on what leaves it.
type path struct {
	chain *chain.Chain
	block []float32
	to    []func([]float32)
}

// newPath leaves the limiter out: it would hide the peaks.
func newPath(rateHz, channels int, set chain.Settings, to ...func([]float32)) *path {
	set.Limit.On = false
	p := &path{chain: chain.New(rateHz, channels), block: make([]float32, 1024*channels), to: to}
	p.chain.Set(set)
	return p
}

func (p *path) process(block []float32) {
	for len(block) > 0 {
		n := copy(p.block, block)
		p.chain.Process(p.block[:n])
		for _, to := range p.to {
			to(p.block[:n])
		}
		block = block[n:]
	}
}

// peaks keeps the true peaks of blocks of 10 ms after a chain.
type peaks struct {
	*path
	hops   hops.Hops
	meter  *truepeak.Meter
	blocks []*histogram.Histogram // of squares of peaks, by channel
	last   []neighbours
}

// neighbours is the peaks of the last two blocks.
type neighbours [2]float64

// alone is how far a peak may rise over the blocks on either side: a pop does
// more, and is no voice (common practice, no source).
const alone = 2.8

// pop takes the peak of the next block and gives that of the one before,
// without what rises out of its neighbours as a pop does.
func (n *neighbours) pop(next float64) float64 {
	before, now := n[0], n[1]
	*n = neighbours{now, next}
	return min(now, alone*max(before, next))
}

func newPeaks(rateHz, channels int, set chain.Settings, to ...func([]float32)) *peaks {
	p := &peaks{meter: truepeak.New(rateHz, channels), last: make([]neighbours, channels), hops: hops.Hops{Channels: channels, Frames: rateHz / blocksPerSecond}}
	for range channels {
		p.blocks = append(p.blocks, histogram.New(-160, 80, 0.05))
	}
	p.path = newPath(rateHz, channels, set, append(to, p.measure)...)
	return p
}

func (p *peaks) measure(block []float32) { p.hops.Cut(block, p.meter.Process, p.endBlock) }

func (p *peaks) endBlock() {
	for c, h := range p.blocks {
		a := p.last[c].pop(p.meter.TakeMax(c))
		h.Add(a * a)
	}
}

// speech gives the speech peaks of a channel in dBTP.
func (p *peaks) speech(ch int) float64 { return db.FromPower(p.blocks[ch].Quantile(1-exceeded, 0)) }

// loudest gives the highest peak of a channel in dBTP that is no single click.
func (p *peaks) loudest(ch int) float64 {
	last := float64(max(1, p.blocks[ch].Blocks()-1))
	return db.FromPower(p.blocks[ch].Quantile(max(0, 1-clicks/last), 0))
}
