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
	pieceSize = 4096 // at about 3 kHz: 1.4 s, 0.73 Hz per bin
	topHz     = 1100
)

// QuietShare is the share of a voice's time, its quietest, that shows the hum
// between the words: what to ask the spectrum's Quiet for.
const QuietShare = 0.2

// NewSpectrum makes the spectrum Find works on, for one channel that a
// lowrate.Decimator feeds.
func NewSpectrum(rateHz int) *spectrum.Welch {
	return spectrum.New(lowrate.Rate(rateHz), pieceSize, topHz)
}
