package dsp

import (
	"rollready/dsp/camera"
	"rollready/dsp/level"
)

// Meter turns input and output frames into Readings. One goroutine uses it.
// The same frames give the same Readings however they are cut into blocks.
// It works in hops of 10 ms; a Reading is as of the last whole hop.
type Meter struct {
	rateHz, channels int
	view             View
	hop              int       // frames
	in, out          []float32 // the hop being filled
	filled           int       // frames of it
	frames           int64     // of whole hops
	input, output    side
}

// NewMeter makes a meter for 1 or 2 channels.
func NewMeter(rateHz, channels int, v View) *Meter {
	hop := rateHz / level.HopsPerSecond
	m := &Meter{rateHz: rateHz, channels: channels, view: v, hop: hop,
		in: make([]float32, hop*channels), out: make([]float32, hop*channels),
		input: newSide(rateHz, channels), output: newSide(rateHz, channels)}
	m.SetView(v)
	return m
}

// Process meters interleaved frames before and after the chain; both blocks
// have the same length. It does not allocate.
func (m *Meter) Process(input, output []float32) {
	frames := min(len(input), len(output)) / m.channels
	for at := 0; at < frames; {
		n := min(m.hop-m.filled, frames-at)
		copy(m.in[m.filled*m.channels:], input[at*m.channels:(at+n)*m.channels])
		copy(m.out[m.filled*m.channels:], output[at*m.channels:(at+n)*m.channels])
		at += n
		if m.filled += n; m.filled == m.hop {
			m.endHop()
		}
	}
}

func (m *Meter) endHop() {
	m.input.process(m.in, m.channels)
	m.output.process(m.out, m.channels)
	m.frames += int64(m.hop)
	m.filled = 0
}

// Reading gives the newest reading.
func (m *Meter) Reading() Reading {
	r := Reading{Frames: m.frames, RateHz: m.rateHz, Channels: m.channels}
	for c := range m.channels {
		r.Input[c], r.Output[c] = m.input.read(c), m.output.read(c)
		r.Camera[c] = onCamera(m.view.Camera, r.Output[c])
	}
	return r
}

// onCamera places an output level on the camera's scale. Headroom and zone
// follow the true peak, whatever ballistics the bar has.
func onCamera(s camera.Scale, l Level) CameraLevel {
	peak := s.Reads(l.TruePeakDBTP)
	return CameraLevel{PeakDBFS: s.Reads(l.PeakDBFS), HoldDBFS: s.Reads(l.HoldDBFS),
		HeadroomDB: s.Headroom(peak), Zone: s.Zone(peak)}
}

// SetView changes how the meters are read from the next frame on.
func (m *Meter) SetView(v View) {
	m.view = v
	m.input.setView(v)
	m.output.setView(v)
}

// ResetHolds clears holds, maxima, clip counts and integrated loudness.
func (m *Meter) ResetHolds() {
	m.input.resetHolds()
	m.output.resetHolds()
}
