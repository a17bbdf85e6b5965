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
	quads  []quad
	last   int   // the highest band, lane 0 of quads[0]; the others follow downwards
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
	m.levels = []stage{{rateHz: rate, last: m.usable - 1}}
	for i := m.usable - 1; i >= 0; i-- {
		for rate/2 >= lowestHz && At(i).HighHz <= passHz*rate/2 {
			rate /= 2
			m.levels = append(m.levels, stage{rateHz: rate, last: i})
		}
		s := &m.levels[len(m.levels)-1]
		lane := (s.last - i) % lanes
		if lane == 0 {
			s.quads = append(s.quads, quad{})
		}
		filter, scale := design(At(i).LowHz, At(i).HighHz, rate)
		s.quads[len(s.quads)-1].set(lane, filter, scale)
		m.at[i] = len(m.levels) - 1
	}
}

// SetChannel chooses a channel or Sum from the next frame on.
func (m *Meter) SetChannel(channel int) { m.channel = channel }

// SetWeighting sets the time constant in seconds, Fast or Slow.
func (m *Meter) SetWeighting(seconds float64) {
	for l := range m.levels {
		share := -math.Expm1(-1 / (seconds * m.levels[l].rateHz))
		for i := range m.levels[l].quads {
			for lane := range lanes {
				m.levels[l].quads[i].share[lane], m.levels[l].quads[i].keep[lane] = share, 1-share
			}
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
		for q := range s.quads {
			s.quads[q].run(x)
		}
		s.frames += int64(len(x))
	}
}

// Usable is the number of bands that exist at the sample rate.
func (m *Meter) Usable() int { return m.usable }

// LevelDBFS is the time-weighted rms level of band i.
func (m *Meter) LevelDBFS(i int) float64 {
	return m.read(i, func(q *quad, b int, _ int64) float64 { return q.square[b] })
}

// TakeMaxDBFS is the highest time-weighted level of band i since the last
// TakeMaxDBFS.
func (m *Meter) TakeMaxDBFS(i int) float64 {
	return m.read(i, func(q *quad, b int, _ int64) float64 {
		taken := max(q.top[b], q.square[b])
		q.max[b], q.top[b] = max(q.max[b], q.top[b]), 0
		return taken
	})
}

// MaxDBFS is the highest time-weighted level of band i since the last reset.
func (m *Meter) MaxDBFS(i int) float64 {
	return m.read(i, func(q *quad, b int, _ int64) float64 { return max(q.max[b], q.top[b]) })
}

// MeanDBFS is the rms level of band i over all frames since the last reset.
func (m *Meter) MeanDBFS(i int) float64 {
	return m.read(i, func(q *quad, b int, frames int64) float64 { return q.energy[b] / float64(max(1, frames)) })
}

func (m *Meter) read(i int, power func(q *quad, lane int, frames int64) float64) float64 {
	if i >= m.usable {
		return math.Inf(-1)
	}
	s := &m.levels[m.at[i]]
	at := s.last - i
	q := &s.quads[at/lanes]
	p := power(q, at%lanes, s.frames) * q.scale[at%lanes]
	if p < silence {
		return math.Inf(-1)
	}
	return db.RMS(p)
}

// ResetMaxima clears maxima and means; the filters and levels go on.
func (m *Meter) ResetMaxima() {
	for l := range m.levels {
		m.levels[l].frames = 0
		for i := range m.levels[l].quads {
			q := &m.levels[l].quads[i]
			q.top, q.max, q.energy = [lanes]float64{}, [lanes]float64{}, [lanes]float64{}
		}
	}
}

// Reset clears everything but channel and weighting.
func (m *Meter) Reset() {
	for l := range m.levels {
		s := &m.levels[l]
		s.halve, s.frames = halver{}, 0
		for q := range s.quads {
			s.quads[q].clear()
		}
	}
}
