// Package chain is the way of the signal: gain → high-pass → low-pass →
// limiter, in that order, on interleaved float32 frames, in place. With the zero
// [Settings] every bit passes.
//
// # Changes are not heard
//
// A change of gain is ramped. A change of filters runs the new filters on the
// live signal, unheard, until they have settled, and then crossfades; of
// several changes meanwhile the newest wins.
//
// # What goes beside it
//
// The limiter looks ahead, so the output comes later than the input.
// [Chain.ProcessBeside] delays another signal alike, such as the raw input of a
// take, so that both stay in step.
package chain

import (
	"math"
	"sync/atomic"

	"rollready/dsp/limiter"
)

// chunkFrames is how many frames go through the stages at a time.
const chunkFrames = 256

// Chain runs the settings on frames. One goroutine or audio thread calls
// Process; any goroutine may call Set.
type Chain struct {
	rateHz, channels int
	newest           atomic.Pointer[plan]

	// Below: only Process.
	started  bool
	gain     ramp
	heard    path
	incoming path
	change   change
	wet      []float64 // after the gain, then the filters
	unheard  []float64 // the same with the incoming filters
	limiter  *limiter.Limiter
}

// New makes a chain for 1 or 2 channels that passes bits unchanged.
func New(rateHz, channels int) *Chain {
	scratch := func() []float64 { return make([]float64, chunkFrames*channels) }
	c := &Chain{rateHz: rateHz, channels: channels, wet: scratch(), unheard: scratch(),
		limiter: limiter.New(rateHz, channels)}
	c.change.fade = fadeCurve(rateHz)
	c.heard.channels, c.incoming.channels = channels, channels
	c.newest.Store(newPlan(Settings{}, rateHz))
	return c
}

// Set changes the settings; they are taken up at the next block and ramped.
// Before the first block they hold from the first frame. Settings that fail
// Check are the caller's mistake and change nothing.
func (c *Chain) Set(s Settings) {
	if s.Check() == nil {
		c.newest.Store(newPlan(s, c.rateHz))
	}
}

// Process runs interleaved frames in place. Samples that are not finite become
// silence; the output is always finite. Audio thread: does not allocate, lock
// or block.
func (c *Chain) Process(block []float32) { c.ProcessBeside(block, nil) }

// ProcessBeside runs a block in place and delays another of the same length
// with it, otherwise unchanged: what came in together leaves together, also
// while the limiter is switched. Audio thread: does not allocate, lock or block.
func (c *Chain) ProcessBeside(block, beside []float32) {
	rest := block[:len(block)-len(block)%c.channels]
	for len(rest) > 0 {
		n := min(len(rest), len(c.wet))
		c.takeUp(c.newest.Load())
		c.run(rest[:n])
		aside := beside[:min(n, len(beside))]
		c.limiter.ProcessBeside(rest[:n], aside)
		rest, beside = rest[n:], beside[len(aside):]
	}
}

// LatencyFrames is the delay of the chain with the newest settings: the
// limiter's look-ahead while it is on, else 0.
func (c *Chain) LatencyFrames() int {
	if c.newest.Load().settings.Limit.On {
		return c.limiter.LookAheadFrames()
	}
	return 0
}

// ReductionDB is by how many dB the limiter lowered the newest block at most: 0 or more.
func (c *Chain) ReductionDB() float64 { return c.limiter.ReductionDB() }

// takeUp aims gain and filters at the newest settings.
func (c *Chain) takeUp(p *plan) {
	c.limiter.SetCeiling(p.settings.Limit.CeilingDBTP, p.settings.Limit.On)
	if !c.started {
		c.started = true
		c.gain.jump(p.settings.GainDB)
		c.heard.plan = p
		return
	}
	c.gain.aim(p.settings.GainDB, c.rateHz)
	if !c.change.running && !p.sameFilters(c.heard.plan) {
		c.change.begin(c.incoming.follow(&c.heard, p))
	}
}

func (c *Chain) run(block []float32) {
	wet, unheard := c.wet[:len(block)], c.unheard[:len(block)]
	c.gain.apply(wet, block, c.channels)
	if c.change.running {
		copy(unheard, wet)
		c.incoming.run(unheard)
	}
	c.heard.run(wet)
	if c.change.running {
		c.change.blend(wet, unheard, c.channels)
		if !c.change.running {
			c.heard, c.incoming = c.incoming, c.heard
		}
	}
	for i, y := range wet {
		v := float32(y)
		if v-v != 0 { // beyond what it can hold
			v = float32(math.Copysign(math.MaxFloat32, y))
		}
		block[i] = v
	}
}
