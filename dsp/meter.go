package dsp

import (
	"rollready/dsp/hearing"
	"rollready/dsp/level"
	"rollready/dsp/loudness"
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
	input, output    *side
	bands            *bandSide
	loudness         *loudness.Meter // of the output
	ear              *hearing.Ear
	overs            [MaxChannels]overs
}

// NewMeter makes a meter for 1 or 2 channels.
func NewMeter(rateHz, channels int, v View) *Meter {
	hop := max(1, rateHz/level.HopsPerSecond)
	m := &Meter{rateHz: rateHz, channels: channels, hop: hop,
		in: make([]float32, hop*channels), out: make([]float32, hop*channels),
		input: newSide(rateHz, channels), output: newSide(rateHz, channels),
		bands: newBandSide(rateHz, channels), loudness: loudness.New(rateHz, channels),
		ear: hearing.New(rateHz, channels)}
	m.SetView(v)
	return m
}

// Process meters interleaved frames before and after the chain; both blocks
// have the same length. It does not allocate.
func (m *Meter) Process(input, output []float32) {
	frames := min(len(input), len(output)) / m.channels
	for at := 0; at < frames; {
		n := min(m.hop-m.filled, frames-at)
		from, to, end := m.filled*m.channels, at*m.channels, (at+n)*m.channels
		copy(m.in[from:], input[to:end])
		copy(m.out[from:], output[to:end])
		at += n
		if m.filled += n; m.filled == m.hop {
			m.endHop()
		}
	}
}

func (m *Meter) endHop() {
	m.input.process(m.in)
	m.output.process(m.out)
	m.loudness.Process(m.out)
	m.ear.Process(m.in, m.out)
	for c := range m.channels {
		m.overs[c].push(m.view.Camera, m.output.peaks[c].hop)
	}
	if m.view.BandTap == TapInput {
		m.bands.process(m.in)
	} else {
		m.bands.process(m.out)
	}
	m.frames += int64(m.hop)
	m.filled = 0
}

// Reading gives the newest reading.
func (m *Meter) Reading() Reading {
	r := Reading{Frames: m.frames, RateHz: m.rateHz, Channels: m.channels,
		Bands: m.bands.read(), BandsUsable: m.bands.meter.Usable(),
		Loudness: Loudness{MomentaryLUFS: m.loudness.Momentary(), ShortTermLUFS: m.loudness.ShortTerm(),
			IntegratedLUFS: m.loudness.Integrated()}, Heard: m.ear.Heard()}
	for c := range m.channels {
		r.Input[c], r.Output[c] = m.input.read(c), m.output.read(c)
		r.Camera[c] = onCamera(m.view.Camera, r.Output[c])
		r.Camera[c].Overs = m.overs[c].count
		r.Camera[c].Zone = zone(m.view.Camera, r.Output[c], &r.Heard, c)
	}
	return r
}

// Forget forgets what the last seconds sounded like, as after a change of input.
func (m *Meter) Forget() { m.ear.Reset() }

// SetView changes how the meters are read from the next hop on. What stays
// the same in the view goes on undisturbed.
func (m *Meter) SetView(v View) {
	old := m.view
	m.view = v
	if v.HoldSeconds != old.HoldSeconds {
		m.input.setHold(v.HoldSeconds)
		m.output.setHold(v.HoldSeconds)
		m.bands.setHold(v.HoldSeconds)
	}
	if v.Ballistics != old.Ballistics {
		m.input.setBallistics(v.Ballistics)
		m.output.setBallistics(v.Ballistics)
	}
	if v.BandTap != old.BandTap || v.BandChannel != old.BandChannel {
		m.bands.setStream(v.BandChannel)
	}
	if v.BandTime != old.BandTime {
		m.bands.setTime(v.BandTime)
	}
}

// ResetHolds clears holds, maxima, clip counts and integrated loudness.
func (m *Meter) ResetHolds() {
	m.input.resetHolds()
	m.output.resetHolds()
	m.bands.resetHolds()
	m.loudness.Reset()
	m.overs = [MaxChannels]overs{}
}
