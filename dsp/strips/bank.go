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
// Process; any goroutine may call Set.
type Bank struct {
	rateHz, count int
	newest        atomic.Pointer[Settings]
	// Below: only Process.
	taken   *Settings
	chains  []*chain.Chain
	trims   []glide // polarity and mute
	camera  mix
	phones  mix
	limiter *limiter.Limiter
	mono    []float32
	beside  []float32
}

// Block is one block on its way. Its slices hold the same number of frames.
type Block struct {
	Raw    []float32 // interleaved input of the strips; delayed with the rest, otherwise unchanged
	Strips []float32 // interleaved input of the strips; in place what leaves each of them
	Camera []float32 // stereo, gets the limited feed
	Phones []float32 // stereo, gets what the headphones play; nil: nobody listens
}

// NewBank makes a bank for so many strips that passes bits unchanged, as For
// says.
func NewBank(rateHz, count int) *Bank {
	b := &Bank{rateHz: rateHz, count: count, trims: make([]glide, count), camera: newMix(count), phones: newMix(count),
		limiter: limiter.NewBeside(rateHz, 2, 2*count+2),
		mono:    make([]float32, chunkFrames), beside: make([]float32, chunkFrames*(2*count+2))}
	for range count {
		b.chains = append(b.chains, chain.New(rateHz, 1))
	}
	b.Set(For(count))
	return b
}

// Set changes the settings; they are taken up at the next block and ramped.
// Settings that fail Check, or are for another number of strips, are the
// caller's mistake and change nothing.
func (b *Bank) Set(s Settings) {
	if s.Count == b.count && s.Check() == nil {
		b.newest.Store(&s)
	}
}

// LatencyFrames is the delay of everything with the newest settings: the
// limiter's look-ahead while it is on, else 0.
func (b *Bank) LatencyFrames() int {
	if b.newest.Load().Limit.On {
		return b.limiter.LookAheadFrames()
	}
	return 0
}

// ReductionDB is by how many dB the limiter lowered the newest block at most.
func (b *Bank) ReductionDB() float64 { return b.limiter.ReductionDB() }

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
	part := Block{k.Raw[:n*count], k.Strips[:n*count], k.Camera[:2*n], nil}
	if k.Phones != nil {
		part.Phones = k.Phones[:2*n]
	}
	return part
}

func (k Block) after(n, count int) Block {
	rest := Block{k.Raw[n*count:], k.Strips[n*count:], k.Camera[2*n:], nil}
	if k.Phones != nil {
		rest.Phones = k.Phones[2*n:]
	}
	return rest
}

// takeUp aims everything at the newest settings.
func (b *Bank) takeUp(s *Settings) {
	if s == b.taken {
		return
	}
	first := b.taken == nil
	b.taken = s
	for i, strip := range s.InUse() {
		set := strip.Chain
		set.Limit = chain.Limit{}
		b.chains[i].Set(set)
		b.trims[i].aim(strip.trim(), b.rateHz, first)
		b.camera.aim(i, strip.Camera, b.rateHz, first)
		b.phones.aim(i, s.ears(i), b.rateHz, first)
	}
	b.limiter.SetApart(s.Apart)
	b.limiter.SetCeiling(s.Limit.CeilingDBTP, s.Limit.On)
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

// ears tells where a strip is heard in the headphones: the one in solo on both.
func (s *Settings) ears(strip int) Sends {
	switch s.Solo {
	case 0:
		return s.Strips[strip].Phones
	case strip + 1:
		return Together.sends(strip)
	}
	return Sends{}
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
	if k.Phones != nil {
		b.phones.run(k.Phones, k.Strips, b.count)
	}
	b.limit(k, frames)
}

// limit limits the camera feed, and delays the rest with it.
func (b *Bank) limit(k Block, frames int) {
	if b.limiter.Idle() {
		b.limiter.Process(k.Camera)
		return
	}
	wide := 2*b.count + 2
	beside := b.beside[:frames*wide]
	for f := range frames {
		at := beside[f*wide : (f+1)*wide]
		copy(at, k.Raw[f*b.count:(f+1)*b.count])
		copy(at[b.count:], k.Strips[f*b.count:(f+1)*b.count])
		if k.Phones != nil {
			copy(at[2*b.count:], k.Phones[2*f:2*f+2])
		}
	}
	b.limiter.ProcessBeside(k.Camera, beside)
	for f := range frames {
		at := beside[f*wide : (f+1)*wide]
		copy(k.Raw[f*b.count:(f+1)*b.count], at)
		copy(k.Strips[f*b.count:(f+1)*b.count], at[b.count:])
		if k.Phones != nil {
			copy(k.Phones[2*f:2*f+2], at[2*b.count:])
		}
	}
}

// mix sends strips to two channels.
type mix struct{ sends [2][]glide }

func newMix(count int) mix { return mix{[2][]glide{make([]glide, count), make([]glide, count)}} }

func (m *mix) aim(strip int, to Sends, rateHz int, atOnce bool) {
	for side, send := range to {
		m.sends[side][strip].aim(send.factor(), rateHz, atOnce)
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
