// Package hum finds mains hum: steady lines at 50 or 60 Hz and their
// multiples, 10 dB and more above the noise around them. A voice's harmonics
// are told apart by the quiet moments it leaves, by their moving and by their
// places.
package hum

import (
	"rollready/dsp/lowrate"
	"rollready/dsp/spectrum"
)

const (
	pieceSize  = 4096 // at about 3 kHz: 1.4 s, 0.73 Hz per bin
	topHz      = 1100
	quietShare = 0.2
)

// Meter collects the spectrum of each channel. It allocates: not for the
// audio thread.
type Meter struct {
	low *lowrate.Decimator
	ch  []*spectrum.Welch
}

// New makes a meter for interleaved blocks of so many channels.
func New(rateHz, channels int) *Meter {
	m := &Meter{}
	for range channels {
		m.ch = append(m.ch, NewSpectrum(rateHz))
	}
	m.low = lowrate.New(rateHz, channels, func(c int, x []float64) { m.ch[c].Process(x) })
	return m
}

// NewSpectrum makes the spectrum Find works on, for one channel that a
// lowrate.Decimator feeds.
func NewSpectrum(rateHz int) *spectrum.Welch {
	return spectrum.New(lowrate.Rate(rateHz), pieceSize, topHz)
}

// Process takes interleaved frames.
func (m *Meter) Process(block []float32) { m.low.Process(block) }

// Result looks for hum in the quietest fifth of a channel so far.
func (m *Meter) Result(ch int) Hum { return Find(m.ch[ch].Quiet(quietShare)) }

// Steady looks for hum in everything so far of a channel that holds no voice.
func (m *Meter) Steady(ch int) Hum { return Find(m.ch[ch].Quiet(1)) }

// Reset forgets what was collected.
func (m *Meter) Reset() {
	for _, w := range m.ch {
		w.Reset()
	}
}
