// Package level measures the plain levels of each channel: sample peak, level
// bar, rms, clipped runs and flat tops.
//
// Peaks and rms follow AES17: a full-scale sine reads 0 dBFS as both. The rms
// is that of the last 300 ms, whole cycles of anything from 20 Hz up to within
// 0.3 dB. Bars and rms move in hops of 10 ms of frames, counts and maxima with
// every frame.
package level

import (
	"math"

	"rollready/dsp/db"
)

// HopsPerSecond is how often bars and rms move.
const HopsPerSecond = 100

// rmsHops is the integration time of the rms: 300 ms.
const rmsHops = 30

// Meter measures interleaved frames. One goroutine uses it.
type Meter struct {
	rateHz   int
	hop, at  int   // length of a hop and frames of it done
	hops     int64 // whole hops since Reset
	counted  int64 // those since ResetCounts
	channels []channel
}

// channel is the memory of one channel.
type channel struct {
	peak, sum, square float64 // of the present hop
	taken             float64 // peak since TakeMax, whole hops
	bar               Bar
	squares           [rmsHops]float64 // mean squares of the last hops
	max               float64          // of whole hops, as the two sums below
	total, energy     float64
	clip              clipRuns
	flat              flatTops
	soft              softTops
}

// New makes a meter.
func New(rateHz, channels int) *Meter {
	m := &Meter{rateHz: rateHz, hop: max(1, rateHz/HopsPerSecond), channels: make([]channel, channels)}
	m.Reset()
	return m
}

// Reset clears everything.
func (m *Meter) Reset() {
	m.at, m.hops, m.counted = 0, 0, 0
	for c := range m.channels {
		m.channels[c] = channel{bar: NewBar(), flat: newFlatTops(m.rateHz)}
	}
}

// ResetCounts clears maxima, long-term means and counts; bars and rms go on.
func (m *Meter) ResetCounts() {
	m.counted = 0
	for c := range m.channels {
		k := &m.channels[c]
		k.max, k.taken, k.total, k.energy = 0, 0, 0, 0
		k.clip, k.flat, k.soft = clipRuns{}, k.flat.counted(), softTops{}
	}
}

// Process meters interleaved frames. Samples that are not finite count as
// silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	n := len(m.channels)
	for len(block) >= n {
		frames := min(m.hop-m.at, len(block)/n)
		for c := range m.channels {
			m.channels[c].process(block[:frames*n], c, n)
		}
		block = block[frames*n:]
		if m.at += frames; m.at == m.hop {
			m.endHop()
		}
	}
}

func (m *Meter) endHop() {
	for c := range m.channels {
		m.channels[c].endHop(m.hop, &m.channels[c].squares[m.hops%rmsHops])
	}
	m.at, m.hops, m.counted = 0, m.hops+1, m.counted+1
}

func (c *channel) process(block []float32, first, stride int) {
	peak, sum, square := 0.0, c.sum, c.square
	for i := first; i < len(block); i += stride {
		x := finite(block[i])
		if a := math.Abs(x); a > peak { // max would look for NaN
			peak = a
		}
		sum += x
		square += x * x
	}
	c.peak, c.sum, c.square = max(c.peak, peak), sum, square
	c.clip.process(block, first, stride, peak)
	c.flat.process(block, first, stride, peak)
}

// finite gives silence for a sample that is not.
func finite(sample float32) float64 {
	x := float64(sample)
	if x-x != 0 {
		return 0
	}
	return x
}

func (c *channel) endHop(frames int, meanSquare *float64) {
	c.bar.Push(db.FromAmplitude(c.peak))
	*meanSquare = c.square / float64(frames)
	c.soft.push(c.peak, *meanSquare)
	c.max, c.taken = max(c.max, c.peak), max(c.taken, c.peak)
	c.total += c.sum
	c.energy += c.square
	c.peak, c.sum, c.square = 0, 0, 0
}
