// Package bands measures sound in 32 one-third-octave bands, 16 Hz … 20 kHz,
// after IEC 61260-1 class 1: a real filter bank, four biquads per band. The
// stream is halved in rate again and again, and each band runs at the lowest
// rate that holds it clean.
package bands

import (
	"math"

	"rollready/dsp/db"
)

// Time weightings after IEC 61672-1, in seconds.
const (
	Fast = 0.125
	Slow = 1.0
)

// Sum as a channel is the mean of all channels.
const Sum = -1

const (
	chunkFrames = 512
	// lowestHz is the lowest rate: the powers of the lowest bands, which
	// swing at twice the frequency, must not fold back into the time weighting.
	lowestHz = 300
	// silence is the mean square under which a band reads −Inf: −200 dBFS.
	silence = 1e-20
)

// Meter measures one stream taken from interleaved frames. One goroutine uses
// it. Bands at and above Usable read −Inf.
type Meter struct {
	rateHz, channels int
	channel          int
	mono             []float64
	levels           []stage
	at               [Count]int // stage of each band
	usable           int
}

// stage is a stream at one rate and the bands that run on it.
type stage struct {
	rateHz float64
	halve  halver // makes the stream from the one before; not used in the first
	bands  []band
	first  int   // index of bands[0]
	frames int64 // since the last reset
}

// New makes a meter of the mean of all channels with the fast weighting.
func New(rateHz, channels int) *Meter {
	m := &Meter{rateHz: rateHz, channels: channels, channel: Sum, mono: make([]float64, chunkFrames), usable: Usable(rateHz)}
	m.layOut()
	m.SetWeighting(Fast)
	return m
}

// layOut gives each band to the lowest rate that holds it, highest bands first.
func (m *Meter) layOut() {
	rate := float64(m.rateHz)
	m.levels = []stage{{rateHz: rate, first: m.usable}}
	for i := m.usable - 1; i >= 0; i-- {
		for rate/2 >= lowestHz && At(i).HighHz <= passHz*rate/2 {
			rate /= 2
			m.levels = append(m.levels, stage{rateHz: rate, first: i + 1})
		}
		s := &m.levels[len(m.levels)-1]
		b := band{}
		b.filter, b.power = design(At(i).LowHz, At(i).HighHz, rate)
		s.first, s.bands = i, append([]band{b}, s.bands...)
		m.at[i] = len(m.levels) - 1
	}
}

// SetChannel chooses a channel or Sum from the next frame on.
func (m *Meter) SetChannel(channel int) { m.channel = channel }

// SetWeighting sets the time constant in seconds, Fast or Slow.
func (m *Meter) SetWeighting(seconds float64) {
	for l := range m.levels {
		for b := range m.levels[l].bands {
			m.levels[l].bands[b].share = -math.Expm1(-1 / (seconds * m.levels[l].rateHz))
		}
	}
}

// Process meters interleaved frames. Samples that are not finite count as
// silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	for frames := len(block) / m.channels; frames > 0; {
		n := min(frames, chunkFrames)
		m.run(m.pick(block[:n*m.channels]))
		block, frames = block[n*m.channels:], frames-n
	}
}

// pick takes the chosen channel, or the mean of all.
func (m *Meter) pick(block []float32) []float64 {
	n := m.channels
	mono := m.mono[:len(block)/n]
	first, last := m.channel, m.channel
	if m.channel < 0 || m.channel >= n {
		first, last = 0, n-1
	}
	if n == 2 && first != last {
		meanOfTwo(mono, block)
		return mono
	}
	scale := 1 / float64(last-first+1)
	for i := range mono {
		sum := 0.0
		for _, x := range block[i*n+first : i*n+last+1] {
			if x-x == 0 {
				sum += float64(x)
			}
		}
		mono[i] = sum * scale
	}
	return mono
}

// meanOfTwo is the mean of both channels of stereo, the usual case.
func meanOfTwo(mono []float64, block []float32) {
	for i := range mono {
		frame := (*[2]float32)(block[2*i:])
		a, b := float64(frame[0]), float64(frame[1])
		if a-a != 0 {
			a = 0
		}
		if b-b != 0 {
			b = 0
		}
		mono[i] = (a + b) * 0.5
	}
}

func (m *Meter) run(x []float64) {
	for l := range m.levels {
		s := &m.levels[l]
		if l > 0 {
			x = s.halve.run(x, x)
			s.halve.settle()
		}
		for b := range s.bands {
			s.bands[b].run(x)
		}
		s.frames += int64(len(x))
	}
}

// Usable is the number of bands that exist at the sample rate.
func (m *Meter) Usable() int { return m.usable }

// LevelDBFS is the time-weighted rms level of band i.
func (m *Meter) LevelDBFS(i int) float64 {
	return m.read(i, func(b *band, _ int64) float64 { return b.square })
}

// TakeMaxDBFS is the highest time-weighted level of band i since the last
// TakeMaxDBFS.
func (m *Meter) TakeMaxDBFS(i int) float64 {
	return m.read(i, func(b *band, _ int64) float64 {
		taken := max(b.top, b.square)
		b.max, b.top = max(b.max, b.top), 0
		return taken
	})
}

// MaxDBFS is the highest time-weighted level of band i since the last reset.
func (m *Meter) MaxDBFS(i int) float64 {
	return m.read(i, func(b *band, _ int64) float64 { return max(b.max, b.top) })
}

// MeanDBFS is the rms level of band i over all frames since the last reset.
func (m *Meter) MeanDBFS(i int) float64 {
	return m.read(i, func(b *band, frames int64) float64 { return b.energy / float64(max(1, frames)) })
}

func (m *Meter) read(i int, power func(b *band, frames int64) float64) float64 {
	if i >= m.usable {
		return math.Inf(-1)
	}
	s := &m.levels[m.at[i]]
	b := &s.bands[i-s.first]
	p := power(b, s.frames) * b.power
	if p < silence {
		return math.Inf(-1)
	}
	return db.RMS(p)
}

// ResetMaxima clears maxima and means; the filters and levels go on.
func (m *Meter) ResetMaxima() {
	for l := range m.levels {
		m.levels[l].frames = 0
		for b := range m.levels[l].bands {
			k := &m.levels[l].bands[b]
			k.top, k.max, k.energy = 0, 0, 0
		}
	}
}

// Reset clears everything but channel and weighting.
func (m *Meter) Reset() {
	for l := range m.levels {
		s := &m.levels[l]
		s.halve, s.frames = halver{}, 0
		for b := range s.bands {
			k := &s.bands[b]
			*k = band{filter: k.filter, power: k.power, share: k.share}
		}
	}
}
