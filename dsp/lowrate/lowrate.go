// Package lowrate brings sound down to about 3 kHz, where hum, rumble and the
// pitch of a voice are looked for at little cost.
package lowrate

import (
	"math"

	"rollready/dsp/internal/dot"
	"rollready/dsp/internal/taps"
)

const (
	targetHz   = 3000
	tapsPerOut = 12 // length of the filter in output samples
	blockHz    = 4  // below this, and DC, nothing comes through
	chunk      = 1024
)

// Step gives the frames per output sample at a sample rate.
func Step(rateHz int) int { return max(1, int(math.Round(float64(rateHz)/targetHz))) }

// Rate gives the rate that a sample rate comes down to, in Hz.
func Rate(rateHz int) float64 { return float64(rateHz) / float64(Step(rateHz)) }

// Decimator filters and thins out each channel. Flat within 0.2 dB from 20 to 900 Hz;
// what would fold back below 900 Hz is down by 50 dB.
type Decimator struct {
	step int
	taps []float64
	keep float64 // of the running mean, per output sample
	emit func(channel int, x []float64)
	ch   []channel
	out  []float64
}

type channel struct {
	x      []float64 // the filter's window kept from before, then the chunk
	offset int       // frames until the next output sample
	mean   float64   // running, of the output: DC
	begun  bool
}

// New makes a decimator for interleaved blocks of so many channels. It hands
// the output of each channel to emit, which must not keep the slice.
func New(rateHz, channels int, emit func(channel int, x []float64)) *Decimator {
	step := Step(rateHz)
	length := tapsPerOut * step
	d := &Decimator{step: step, taps: make([]float64, length), emit: emit, ch: make([]channel, channels),
		keep: math.Exp(-2 * math.Pi * blockHz / Rate(rateHz))}
	sum := 0.0
	for i := range d.taps {
		at := float64(i) + 0.5 - float64(length)/2 // frames from the middle
		d.taps[i] = taps.Sinc(at/float64(step)) * blackman(2*at/float64(length))
		sum += d.taps[i]
	}
	for i := range d.taps {
		d.taps[i] /= sum
	}
	for c := range d.ch {
		d.ch[c].x = make([]float64, length+chunk)
	}
	d.out = make([]float64, 0, chunk/step+1)
	return d
}

// sinc is the ideal low-pass at half the output rate.

// blackman is the window from −1 to 1.
func blackman(x float64) float64 {
	return 0.42 + 0.5*math.Cos(math.Pi*x) + 0.08*math.Cos(2*math.Pi*x)
}

// Process takes interleaved frames. Values that are not finite count as
// silence. It does not allocate.
func (d *Decimator) Process(block []float32) {
	n := len(d.ch)
	for len(block) >= n {
		frames := min(chunk, len(block)/n)
		for c := range d.ch {
			d.channel(c, block[c:frames*n], frames)
		}
		block = block[frames*n:]
	}
}

func (d *Decimator) channel(c int, block []float32, frames int) {
	ch, window := &d.ch[c], len(d.taps)
	fresh := ch.x[window : window+frames]
	for i := range fresh {
		x := float64(block[i*len(d.ch)])
		if x-x != 0 {
			x = 0
		}
		fresh[i] = x
	}
	d.out = d.out[:0]
	at := ch.offset
	for ; at < frames; at += d.step {
		d.out = append(d.out, ch.withoutDC(dot.Product(d.taps, ch.x[at+1:]), d.keep))
	}
	ch.offset = at - frames
	copy(ch.x, ch.x[frames:frames+window])
	if len(d.out) > 0 {
		d.emit(c, d.out)
	}
}

// withoutDC takes off the running mean, which begins at the first value.
func (c *channel) withoutDC(y, keep float64) float64 {
	if !c.begun {
		c.mean, c.begun = y, y != 0
	}
	c.mean = keep*c.mean + (1-keep)*y
	return y - c.mean
}
