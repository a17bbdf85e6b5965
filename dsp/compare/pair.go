package compare

import (
	"math"
	"sync/atomic"

	"rollready/dsp/db"
	"rollready/dsp/strips"
)

// Side is one of the two that are compared.
type Side int

// The sides.
const (
	A Side = iota
	B
)

// String is "A" or "B".
func (s Side) String() string { return string(rune('A' + s)) }

// Other is the other side.
func (s Side) Other() Side { return 1 - s }

// gainSeconds is the time constant with which a side's gain moves.
const gainSeconds = 0.03

// Pair runs two sets of strips at once on the same input. One goroutine or
// audio thread calls Process; any goroutine may call SetGainDB, one Set.
type Pair struct {
	channels int
	banks    [2]*strips.Bank
	out      [2]Out
	raw      []float32
	gains    [2]gain
}

// Out is what comes out of one side.
type Out struct {
	Strips []float32 // interleaved, what leaves each strip
	Camera []float32 // stereo, what the camera would get; nil where that is what leaves the strips
}

// maxFrames is the longest block Process takes.
const maxFrames = 1024

// NewPair makes a pair for 1 to strips.Max channels; both sides pass bits
// unchanged.
func NewPair(rateHz, channels int) *Pair {
	p := &Pair{channels: channels, raw: make([]float32, maxFrames*channels)}
	for s := range p.banks {
		p.banks[s] = strips.NewBank(rateHz, channels)
		p.out[s] = Out{make([]float32, maxFrames*channels), make([]float32, maxFrames*2)}
		p.gains[s].init(rateHz)
	}
	return p
}

// Set changes one side's settings; they must pass Check.
func (p *Pair) Set(s Side, to strips.Settings) { p.banks[s].Set(to) }

// SetGainDB makes one side louder or softer for the ear only; it is reached
// smoothly. See Matcher.
func (p *Pair) SetGainDB(s Side, gainDB float64) { p.gains[s].set(gainDB) }

// LatencyFrames is the delay of one side.
func (p *Pair) LatencyFrames(s Side) int { return p.banks[s].LatencyFrames() }

// Process runs up to 1024 frames through both sides, and gives the outputs,
// the strips with the gains for the ear. They are valid until the next call.
// Audio thread: does not allocate, lock or block.
func (p *Pair) Process(in []float32) (outputs [2]Out) {
	frames := len(in) / p.channels
	for s := range outputs {
		out := Out{p.out[s].Strips[:len(in)], p.out[s].Camera[:2*frames]}
		copy(out.Strips, in)
		p.banks[s].Process(strips.Block{Raw: p.raw[:copy(p.raw, in)], Strips: out.Strips, Camera: out.Camera})
		p.gains[s].apply(out.Strips, p.channels)
		if p.banks[s].Direct() {
			out.Camera = nil
		}
		outputs[s] = out
	}
	return outputs
}

// gain is a factor that moves smoothly.
type gain struct {
	target atomic.Uint64 // bits of the float64
	now    float64
	speed  float64
}

func (g *gain) init(rateHz int) {
	g.now, g.speed = 1, 1-math.Exp(-1/(gainSeconds*float64(rateHz)))
	g.set(0)
}

func (g *gain) set(gainDB float64) { g.target.Store(math.Float64bits(db.ToAmplitude(gainDB))) }

func (g *gain) apply(block []float32, channels int) {
	target := math.Float64frombits(g.target.Load())
	if g.now == target && target == 1 {
		return
	}
	for i := 0; i+channels <= len(block); i += channels {
		if g.now += g.speed * (target - g.now); math.Abs(g.now-target) < 1e-7 {
			g.now = target
		}
		for c := range channels {
			block[i+c] *= float32(g.now)
		}
	}
}
