package strips

import (
	"math"
	"sync/atomic"

	"rollready/dsp/chain"
	"rollready/dsp/limiter"
)

// chunkFrames is how many frames go through the stages at a time.
const chunkFrames = 256

// Bank runs frames through strips. One goroutine or audio thread calls
// Process, one goroutine Set; any may call the rest.
type Bank struct {
	rateHz, count int
	chains        []*chain.Chain
	newest        atomic.Pointer[plan]
	// Below: only Process.
	taken  *plan
	trims  []glide // polarity and mute
	camera mix
	phones mix
	held   *limiter.Limiter // the camera feed, with what goes beside it
	ears   *limiter.Limiter // the headphones, alike
	mono   []float32
	beside []float32
}

// plan is what Settings ask of the frames, worked out away from the audio thread.
type plan struct {
	trims          [Max]float64
	camera, phones [Max][2]float64
	limit          chain.Limit
	apart, direct  bool
}

func newPlan(s Settings) *plan {
	p := &plan{limit: s.Limit, apart: s.Unlinked || !s.Direct(), direct: s.Direct()}
	to, ears := s.Layout(), s.EarLayout()
	for i := range s.InUse() {
		p.trims[i], p.camera[i], p.phones[i] = s.Strips[i].trim(), to.sends(i).factors(), ears.sends(i).factors()
		if s.Solo != 0 {
			p.phones[i] = [2]float64{}
		}
		if s.Solo == i+1 {
			p.phones[i] = [2]float64{1, 1}
		}
	}
	return p
}

// Block is one block on its way. Its slices hold the same number of frames.
type Block struct {
	Raw    []float32 // interleaved input of the strips; delayed with the rest, otherwise unchanged
	Strips []float32 // interleaved input of the strips; in place what leaves each: limited where it has a channel of its own
	Camera []float32 // stereo, gets the limited feed
	Phones []float32 // stereo, gets what the headphones play, limited; nil where nobody ever wears any
}

// NewBank makes a bank for so many strips that passes bits unchanged.
func NewBank(rateHz, count int) *Bank {
	b := &Bank{rateHz: rateHz, count: count, trims: make([]glide, count), camera: newMix(count), phones: newMix(count),
		held: limiter.NewBeside(rateHz, 2, 2*count), ears: limiter.New(rateHz, 2),
		mono: make([]float32, chunkFrames), beside: make([]float32, chunkFrames*2*count)}
	for range count {
		b.chains = append(b.chains, chain.New(rateHz, 1))
	}
	b.Set(Settings{})
	return b
}

// Set changes the settings; they are taken up at the next block and ramped.
// Settings that fail Check are the caller's mistake and change nothing.
func (b *Bank) Set(s Settings) {
	s = s.Fit(b.count)
	if s.Check() != nil {
		return
	}
	for i, c := range b.chains {
		c.Set(s.Strips[i].Chain.Unlimited())
	}
	b.newest.Store(newPlan(s))
}

// LatencyFrames is the delay of everything with the newest settings: the
// limiter's look-ahead while it is on, else 0.
func (b *Bank) LatencyFrames() int {
	if b.newest.Load().limit.On {
		return b.held.LookAheadFrames()
	}
	return 0
}

// Direct tells that, with the newest settings, what leaves the strips is what
// the camera gets.
func (b *Bank) Direct() bool { return b.newest.Load().direct }

// ReductionDB is by how many dB the limiter lowered the camera feed at most in
// the newest block.
func (b *Bank) ReductionDB() float64 { return b.held.ReductionDB() }

// Process runs a block. All that came in together leaves together, also while
// the limiter is switched. Samples that are not finite become silence. Audio
// thread: does not allocate, lock or block.
func (b *Bank) Process(k Block) {
	b.takeUp(b.newest.Load())
	for frames := len(k.Camera) / 2; frames > 0; frames = len(k.Camera) / 2 {
		n := min(frames, chunkFrames)
		b.run(k.first(n, b.count), n)
		k = k.after(n, b.count)
	}
}

func (k Block) first(n, count int) Block {
	return Block{k.Raw[:n*count], k.Strips[:n*count], k.Camera[:2*n], k.Phones[:min(2*n, len(k.Phones))]}
}

func (k Block) after(n, count int) Block {
	return Block{k.Raw[n*count:], k.Strips[n*count:], k.Camera[2*n:], k.Phones[min(2*n, len(k.Phones)):]}
}

// takeUp aims everything at the newest settings.
func (b *Bank) takeUp(p *plan) {
	if p == b.taken {
		return
	}
	first := b.taken == nil
	b.taken = p
	for i := range b.count {
		b.trims[i].aim(p.trims[i], b.rateHz, first)
		b.camera.aim(i, p.camera[i], b.rateHz, first)
		b.phones.aim(i, p.phones[i], b.rateHz, first)
	}
	for _, l := range [...]*limiter.Limiter{b.held, b.ears} {
		l.SetApart(p.apart)
		l.SetCeiling(p.limit.CeilingDBTP, p.limit.On)
	}
}

func (s *Strip) trim() float64 {
	switch {
	case s.Muted:
		return 0
	case s.Inverted:
		return -1
	}
	return 1
}

func (b *Bank) run(k Block, frames int) {
	for i := range b.count {
		mono := b.mono[:frames]
		for f := range mono {
			mono[f] = k.Strips[f*b.count+i]
		}
		b.chains[i].Process(mono)
		b.trims[i].apply(mono)
		for f, x := range mono {
			k.Strips[f*b.count+i] = x
		}
	}
	b.camera.run(k.Camera, k.Strips, b.count)
	if len(k.Phones) > 0 {
		b.phones.run(k.Phones, k.Strips, b.count)
		b.ears.Process(k.Phones)
	}
	b.limit(k, frames)
}

// limit limits the camera feed, and delays the rest with it. What leaves the
// strips and is what the camera gets is limited alike.
func (b *Bank) limit(k Block, frames int) {
	if b.held.Idle() {
		b.held.Process(k.Camera)
		return
	}
	n := b.count
	beside := b.beside[:frames*2*n]
	for f := range frames {
		at := beside[f*2*n : (f+1)*2*n]
		copy(at, k.Raw[f*n:(f+1)*n])
		copy(at[n:], k.Strips[f*n:(f+1)*n])
	}
	b.held.ProcessBeside(k.Camera, beside)
	for f := range frames {
		at := beside[f*2*n : (f+1)*2*n]
		copy(k.Raw[f*n:(f+1)*n], at)
		left := at[n:]
		if b.taken.direct {
			left = k.Camera[2*f:]
		}
		copy(k.Strips[f*n:(f+1)*n], left)
	}
}

// mix sends strips to two channels.
type mix struct{ sends [2][]glide }

func newMix(count int) mix { return mix{[2][]glide{make([]glide, count), make([]glide, count)}} }

func (m *mix) aim(strip int, to [2]float64, rateHz int, atOnce bool) {
	for side, factor := range to {
		m.sends[side][strip].aim(factor, rateHz, atOnce)
	}
}

func (m *mix) run(to, strips []float32, count int) {
	for side := range m.sends {
		first := true
		for i := range m.sends[side] {
			g := &m.sends[side][i]
			if g.silent() {
				continue
			}
			if first && g.whole() {
				for f, at := i, side; at < len(to); f, at = f+count, at+2 {
					to[at] = strips[f]
				}
				first = false
				continue
			}
			for f, at := 0, side; at < len(to); f, at = f+1, at+2 {
				y := float32(g.next() * float64(strips[f*count+i]))
				if !first {
					y = float32(max(-math.MaxFloat32, min(float64(to[at])+float64(y), math.MaxFloat32)))
				}
				to[at] = y
			}
			first = false
		}
		if first {
			for at := side; at < len(to); at += 2 {
				to[at] = 0
			}
		}
	}
}
