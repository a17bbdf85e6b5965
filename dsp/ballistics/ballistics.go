// Package ballistics gives level bars the movement of the trade's meters:
// digital peak after IEC 60268-18, quasi-peak programme meters type I and II
// after IEC 60268-10, volume indicator (VU) after IEC 60268-17.
//
// All read a steady full-scale sine as 0 dBFS. Time is counted in frames.
package ballistics

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
)

// Kind is the movement of a meter.
type Kind int

// The movements.
const (
	DigitalPeak Kind = iota // instant attack, falls 20 dB in 1.7 s
	PPMTypeI                // 5 ms integration, falls 20 dB in 1.7 s
	PPMTypeII               // 10 ms integration, falls 24 dB in 2.8 s
	VU                      // mean of the magnitude, 99 % in 300 ms, 1.25 % overshoot
)

const (
	floor = 1e-10 // −200 dBFS: below it a bar reads −Inf
	// A trickle far below the floor keeps the VU's states off denormal
	// numbers, which are slow.
	trickle = 1e-20

	vuHz   = 2.15049  // natural frequency of the 1.25 % model, ballistics.csv
	vuZeta = 0.812717 // its damping
)

// detector is one charging stage of a quasi-peak meter: it charges towards
// the magnitude with a time constant, 0 being at once.
type detector struct{ seconds, share float64 }

// movement is what sets one quasi-peak kind apart. The time constants were
// fitted to the burst tables in ballistics.csv.
type movement struct {
	fallDBPerSecond float64
	stages          [2]detector
}

func movementOf(k Kind) movement {
	switch k {
	case PPMTypeI:
		return movement{20 / 1.7, [2]detector{{0.0014, 1}}}
	case PPMTypeII:
		return movement{24 / 2.8, [2]detector{{0.0013, 0.7}, {0.012, 0.3}}}
	default:
		return movement{20 / 1.7, [2]detector{{0, 1}}}
	}
}

// Meter moves one bar per channel. Not safe for concurrent use.
type Meter struct {
	kind   Kind
	fall   float64    // factor per frame
	charge [2]float64 // part of the way per frame
	share  [2]float64 // of the reading, with the steady sine scaled to 1
	vu     filter.Biquad
	ch     []channel
}

type channel struct {
	stage [2]float64
	vu    filter.State
	level float64
}

// New makes a meter for interleaved blocks of so many channels.
func New(kind Kind, rateHz, channels int) *Meter {
	rate := float64(rateHz)
	move := movementOf(kind)
	m := &Meter{kind: kind, ch: make([]channel, channels),
		fall: db.ToAmplitude(-move.fallDBPerSecond / rate),
		vu:   filter.LowPassQ(vuHz, 1/(2*vuZeta), rate)}
	for i, d := range move.stages {
		m.charge[i] = 1 - math.Exp(-1/(d.seconds*rate))
		m.share[i] = d.share / steady(d.seconds, move.fallDBPerSecond)
	}
	return m
}

// steady gives what a charging stage settles at under a sine of amplitude 1:
// where the charge of a half cycle, with the sine above the reading, equals
// what falls off meanwhile.
func steady(chargeSeconds, fallDBPerSecond float64) float64 {
	fall := fallDBPerSecond * math.Ln10 / 20 * chargeSeconds
	low, high := 0.0, 1.0
	for range 60 {
		v := (low + high) / 2
		from := math.Asin(v)
		if (2*math.Cos(from)-v*(math.Pi-2*from))/math.Pi > v*fall {
			low = v
		} else {
			high = v
		}
	}
	return high
}

// Process takes interleaved frames. Values that are not finite count as
// silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	n := len(m.ch)
	for c := range m.ch {
		if m.kind == VU {
			m.ch[c].mean(&m.vu, block, c, n)
		} else {
			m.quasiPeak(&m.ch[c], block, c, n)
		}
	}
}

func (m *Meter) quasiPeak(ch *channel, block []float32, c, n int) {
	a, b := ch.stage[0], ch.stage[1]
	for i := c; i < len(block); i += n {
		x := magnitude(block[i])
		a *= m.fall
		b *= m.fall
		if x > a {
			a += (x - a) * m.charge[0]
		}
		if x > b {
			b += (x - b) * m.charge[1]
		}
	}
	ch.stage = [2]float64{floored(a), floored(b)}
	ch.level = m.share[0]*ch.stage[0] + m.share[1]*ch.stage[1]
}

func (ch *channel) mean(vu *filter.Biquad, block []float32, c, n int) {
	y := ch.level * (2 / math.Pi)
	for i := c; i < len(block); i += n {
		y = ch.vu.Step(vu, magnitude(block[i])+trickle)
	}
	ch.level = floored(y) * (math.Pi / 2) // mean of a sine's magnitude is 2/π
}

func magnitude(x float32) float64 {
	v := math.Abs(float64(x))
	if v-v != 0 {
		return 0
	}
	return v
}

func floored(v float64) float64 {
	if v < floor {
		return 0
	}
	return v
}

// LevelDBFS gives the bar of a channel in dBFS after the last frame taken.
func (m *Meter) LevelDBFS(ch int) float64 { return db.FromAmplitude(m.ch[ch].level) }

// Reset empties all bars.
func (m *Meter) Reset() { clear(m.ch) }
