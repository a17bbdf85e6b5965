package align

import (
	"math"

	"rollready/dsp/internal/fft"
)

const (
	hopsPerSecond = 100
	maxHops       = 1 << 18 // about 44 min; longer outlines are thinned out
	leastHops     = 50
	lowestDB      = -100.0 // what lies lower is one silence
)

// Outline is the level of a recording over time, rumble taken off. One
// goroutine uses it.
type Outline struct {
	rateHz, channels int
	last             []float64 // sample of each channel
	loud             []float64 // sum of squares of each channel
	sum              float64   // of the present hop
	filled, size     int
	hops             int64
	levels           []float64 // dB, one per `each` hops
	each             int
	pending          []float64
}

// NewOutline makes an outline of interleaved frames.
func NewOutline(rateHz, channels int) *Outline {
	o := &Outline{rateHz: rateHz, channels: channels, last: make([]float64, channels), loud: make([]float64, channels), each: 1}
	o.size = o.nextHop()
	return o
}

// nextHop gives the frames of the hop to come, so that 100 are exactly a
// second at every rate.
func (o *Outline) nextHop() int {
	at, rate := o.hops%hopsPerSecond, int64(o.rateHz)
	return int(rate*(at+1)/hopsPerSecond - rate*at/hopsPerSecond)
}

// Process takes interleaved frames. Values that are not finite count as
// silence.
func (o *Outline) Process(block []float32) {
	for ; len(block) >= o.channels; block = block[o.channels:] {
		for c, v := range block[:o.channels] {
			x := float64(v)
			if x-x != 0 {
				x = 0
			}
			step := (x - o.last[c]) * float64(o.rateHz) / 48000 // a slope: the same at every rate
			o.last[c] = x
			o.sum += step * step
			o.loud[c] += step * step
		}
		if o.filled++; o.filled == o.size {
			o.endHop()
		}
	}
}

func (o *Outline) endHop() {
	o.push(max(lowestDB, 10*math.Log10(o.sum/float64(o.size*o.channels)+1e-30)))
	o.hops++
	o.sum, o.filled, o.size = 0, 0, o.nextHop()
}

// push keeps the level; a full outline makes one of two.
func (o *Outline) push(level float64) {
	o.pending = append(o.pending, level)
	if len(o.pending) < o.each {
		return
	}
	o.levels = append(o.levels, mean(o.pending))
	o.pending = o.pending[:0]
	if len(o.levels) == maxHops {
		o.levels, o.each = halved(o.levels), 2*o.each
	}
}

func halved(x []float64) []float64 {
	y := make([]float64, len(x)/2, maxHops)
	for i := range y {
		y[i] = (x[2*i] + x[2*i+1]) / 2
	}
	return y
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(1, len(x)))
}

// Channel is the loudest channel, from 0.
func (o *Outline) Channel() int {
	best := 0
	for c, power := range o.loud {
		if power > o.loud[best] {
			best = c
		}
	}
	return best
}

// Seconds is the length of the recording.
func (o *Outline) Seconds() float64 {
	return float64(o.hops)/hopsPerSecond + float64(o.filled)/float64(o.rateHz)
}

// Coarse gives how much later than a recording b began, in seconds, to a few
// hundredths. ok is false where one is too short.
func Coarse(a, b *Outline) (laterS float64, ok bool) {
	x, y, each := a.levels, b.levels, max(a.each, b.each)
	for n := a.each; n < each; n *= 2 {
		x = halved(x)
	}
	for n := b.each; n < each; n *= 2 {
		y = halved(y)
	}
	if min(len(x), len(y)) < leastHops {
		return 0, false
	}
	size := 2
	for size < len(x)+len(y) {
		size *= 2
	}
	return float64(top(correlate(x, y, size, asItIs))) * float64(each) / hopsPerSecond, true
}

// correlate gives Σ a(t+lag)·b(t) for lags from 0 up, then from the end for
// −1 down; both signals without their
// mean. weigh may change each bin. They share one transform, as real
// and imaginary part.
func correlate(a, b []float64, size int, weigh func(bin int, cross complex128) complex128) []complex128 {
	z := make([]complex128, size)
	meanA, meanB := mean(a), mean(b)
	for i, v := range a {
		z[i] = complex(v-meanA, 0)
	}
	for i, v := range b {
		z[i] += complex(0, v-meanB)
	}
	plan := fft.New(size)
	plan.Transform(z)
	for k := range size/2 + 1 {
		first, second := split(z, k)
		cross := weigh(k, first*conj(second))
		// The transform of the conjugate, read backwards, is the inverse.
		z[k] = conj(cross)
		z[(size-k)%size] = cross
	}
	plan.Transform(z)
	return z
}

func asItIs(_ int, cross complex128) complex128 { return cross }

// split gives the transforms of the real and of the imaginary part at bin k.
func split(z []complex128, k int) (re, im complex128) {
	p, q := z[k], conj(z[(len(z)-k)%len(z)])
	re, im = (p+q)/2, (p-q)/2
	return re, complex(imag(im), -real(im))
}

func conj(x complex128) complex128 { return complex(real(x), -imag(x)) }

// top gives the lag at which a correlation is highest.
func top(z []complex128) int {
	best := 0
	for i, v := range z {
		if real(v) > real(z[best]) {
			best = i
		}
	}
	if best > len(z)/2 {
		best -= len(z)
	}
	return best
}
