package compare

import (
	"math"
	"sync/atomic"
)

const fadeSeconds = 0.03

// Fader lets one of several signals be heard and goes from one to the other
// in a crossfade of equal power. Two versions of one voice are alike, and
// would swell by up to 3 dB with the gains cos and sin that keep the power of
// strangers; so the likeness of the two is measured and allowed for.
//
// One goroutine or audio thread calls Process; any may call Choose.
type Fader struct {
	channels, length int
	wanted           atomic.Int32
	from, to         int // equal when no fade is under way
	at               int // frame of the fade
	alike            float64
}

// NewFader makes a fader that begins with signal 0.
func NewFader(rateHz, channels int) *Fader {
	return &Fader{channels: channels, length: int(fadeSeconds * float64(rateHz))}
}

// Choose goes over to a signal at the next block. Of several choices during a
// fade the last one counts.
func (f *Fader) Choose(signal int) { f.wanted.Store(int32(signal)) }

// Jump chooses a signal without a crossfade: before the first block.
func (f *Fader) Jump(signal int) {
	f.Choose(signal)
	f.from, f.to = signal, signal
}

// Chosen is the signal last chosen.
func (f *Fader) Chosen() int { return int(f.wanted.Load()) }

// Needs tells whether the next block depends on a signal.
func (f *Fader) Needs(signal int) bool {
	return signal == f.from || signal == f.to || signal == f.Chosen()
}

// Process fills dst from the signals, each as long as dst. dst may be one of
// them. Audio thread: does not allocate, lock or block.
func (f *Fader) Process(dst []float32, signals [][]float32) {
	for at := 0; at < len(dst); {
		if f.from == f.to {
			f.begin(f.Chosen(), signals, at)
		}
		if f.from == f.to {
			copy(dst[at:], signals[f.to][at:len(dst)])
			return
		}
		at = f.blend(dst, signals[f.from], signals[f.to], at)
	}
}

func (f *Fader) begin(next int, signals [][]float32, at int) {
	if next != f.to {
		f.to, f.at = next, 0
		f.alike = Alike(signals[f.from][at:], signals[next][at:])
	}
}

// blend mixes from sample at on, until the block or the fade ends.
func (f *Fader) blend(dst, from, to []float32, at int) int {
	for ; at+f.channels <= len(dst) && f.at < f.length; at += f.channels {
		f.at++
		old, new := Crossfade(float64(f.at)/float64(f.length), f.alike)
		for c := at; c < at+f.channels; c++ {
			dst[c] = float32(old*float64(from[c]) + new*float64(to[c]))
		}
	}
	if f.at == f.length {
		f.from = f.to
		return at
	}
	return len(dst)
}

// Crossfade gives the gains of the old and the new signal at a share, 0…1, of
// a crossfade that keeps the power of two equally strong signals with the
// correlation alike: from cos²+sin² = 1, divided by the root of
// 1 + alike·sin 2θ. Start and end have no corner.
func Crossfade(share, alike float64) (old, new float64) {
	sin, cos := math.Sincos(math.Pi / 4 * (1 - math.Cos(math.Pi*share)))
	norm := 1 / math.Sqrt(1+2*alike*sin*cos)
	return cos * norm, sin * norm
}

// Alike gives the correlation of two stretches of the same length at no lag,
// 0…1; opposites count as strangers.
func Alike(a, b []float32) float64 {
	var aa, bb, ab float64
	for i, x := range a {
		y := float64(b[i])
		aa, bb, ab = aa+float64(x)*float64(x), bb+y*y, ab+float64(x)*y
	}
	if ab <= 0 {
		return 0
	}
	return min(1, ab/math.Sqrt(aa*bb))
}
