package dsp

import (
	"math"

	"rollready/dsp/camera"
	"rollready/dsp/hearing"
	"rollready/dsp/level"
	"rollready/dsp/loudness"
	"rollready/dsp/spill"
)

// Meter turns input and output frames into Readings. One goroutine uses it.
// The same frames give the same Readings however they are cut into blocks.
// It works in hops of 10 ms; a Reading is as of the last whole hop.
type Meter struct {
	rateHz, channels int
	view             View
	hop              int       // frames
	in, out, fed     []float32 // the hop being filled
	filled           int       // frames of it
	mixed            bool      // the hop's camera feed is not what leaves the strips
	frames           int64     // of whole hops
	input, output    *side
	feed             *side // used where the feed is mixed
	bands            *bandSide
	loudness         *loudness.Meter // of the output
	ear              *hearing.Ear
	overs            [2]overs
	alone            [MaxChannels]overs // of each strip at full level
	people           *spill.Meter       // nil: nobody compares them
	pairs            []float32          // of the first two strips
	between          spill.Result
}

// NewMeter makes a meter for 1 to MaxChannels channels.
func NewMeter(rateHz, channels int, v View) *Meter {
	hop := max(1, rateHz/level.HopsPerSecond)
	m := &Meter{rateHz: rateHz, channels: channels, hop: hop,
		in: make([]float32, hop*channels), out: make([]float32, hop*channels),
		fed:   make([]float32, 2*hop),
		input: newSide(rateHz, channels), output: newSide(rateHz, channels), feed: newSide(rateHz, 2),
		bands: newBandSide(rateHz, channels), loudness: loudness.New(rateHz, channels),
		ear: hearing.New(rateHz, channels)}
	m.SetView(v)
	return m
}

// Process meters interleaved frames before and after the chain; both blocks
// have the same length. fed is what the camera gets, stereo, nil where that is
// what leaves the chain. It does not allocate.
func (m *Meter) Process(input, output, fed []float32) {
	frames := min(len(input), len(output)) / m.channels
	for at := 0; at < frames; {
		n := min(m.hop-m.filled, frames-at)
		from, to, end := m.filled*m.channels, at*m.channels, (at+n)*m.channels
		copy(m.in[from:], input[to:end])
		copy(m.out[from:], output[to:end])
		m.takeFed(output, fed, at, n)
		at += n
		if m.filled += n; m.filled == m.hop {
			m.endHop()
		}
	}
}

// takeFed fills the hop's camera feed. Where it becomes another in the middle
// of a hop the hop counts as mixed.
func (m *Meter) takeFed(output, fed []float32, at, frames int) {
	if m.filled == 0 {
		m.mixed = false
	}
	if fed != nil {
		m.mixed = true
		copy(m.fed[2*m.filled:], fed[2*at:2*(at+frames)])
		return
	}
	if m.channels > 2 {
		return
	}
	for i := range frames {
		frame := output[(at+i)*m.channels : (at+i+1)*m.channels]
		m.fed[2*(m.filled+i)], m.fed[2*(m.filled+i)+1] = frame[0], frame[m.channels-1]
	}
}

func (m *Meter) endHop() {
	m.input.process(m.in)
	m.output.process(m.out)
	if m.mixed {
		m.feed.process(m.fed)
	}
	if m.people != nil {
		m.compare()
	}
	m.loudness.Process(m.out)
	m.ear.Process(m.in, m.out)
	side, channels := m.sent()
	for c := range channels {
		m.overs[c].push(m.view.Camera, side.peaks[c].hop)
	}
	for c := range m.channels {
		m.alone[c].push(m.view.Camera, m.output.peaks[c].hop)
	}
	if m.view.BandTap == TapInput {
		m.bands.process(m.in)
	} else {
		m.bands.process(m.out)
	}
	if was := m.frames / fadeFrames(m.rateHz); (m.frames+int64(m.hop))/fadeFrames(m.rateHz) != was {
		m.input.level.Fade()
	}
	m.frames += int64(m.hop)
	m.filled = 0
}

// fadeFrames is how long the waves that tell soft clipping count in full: long
// enough to tell it, short enough that an overload that is past is forgotten.
func fadeFrames(rateHz int) int64 { return 7 * int64(rateHz) }

// Reading gives the newest reading.
func (m *Meter) Reading() Reading {
	r := Reading{Frames: m.frames, RateHz: m.rateHz, Channels: m.channels,
		Bands: m.bands.read(), BandsUsable: m.bands.meter.Usable(),
		Loudness: Loudness{MomentaryLUFS: m.loudness.Momentary(), ShortTermLUFS: m.loudness.ShortTerm(),
			IntegratedLUFS: m.loudness.Integrated()}, Heard: m.ear.Heard(), Between: m.between}
	for c := range m.channels {
		r.Input[c], r.Output[c] = m.input.read(c), m.output.read(c)
		r.Input[c].SoftTops = m.input.level.SoftTops(c)
		r.Overs[c] = m.alone[c].count
		of := r.Heard.Of(c)
		r.Zones[c] = zone(m.view.Camera, r.Output[c], &of, of.Channels[0].SpeechOutDBTP)
	}
	side, channels := m.sent()
	r.Fed = channels
	for c := range channels {
		l := side.read(c)
		r.Camera[c] = onCamera(m.view.Camera, l)
		r.Camera[c].Overs = m.overs[c].count
		r.Camera[c].Zone = m.zone(&r, c, l)
	}
	return r
}

// zone is that of a channel of the feed. Where it is mixed its voice is the
// loudest, as much lower as the channel is lower than the other.
func (m *Meter) zone(r *Reading, c int, l Level) camera.Zone {
	if !m.mixed {
		return r.Zones[c]
	}
	voice := math.Inf(-1)
	for _, k := range r.Heard.Channels[:m.channels] {
		voice = max(voice, k.SpeechOutDBTP)
	}
	if other := m.feed.read(1 - c).MaxDBTP; other > l.MaxDBTP {
		voice += l.MaxDBTP - other
	}
	return zone(m.view.Camera, l, &r.Heard, voice)
}

// sent gives the meters of what the camera gets, and how many channels count.
func (m *Meter) sent() (*side, int) {
	if m.mixed {
		return m.feed, 2
	}
	return m.output, min(m.channels, 2)
}

// ComparePeople takes each strip for a person's own from now on, or no longer:
// listens to each by itself, and compares the voices before the first two.
func (m *Meter) ComparePeople(on bool) {
	switch {
	case m.channels < 2 || !on:
		m.people, m.between = nil, spill.Result{}
	case m.people == nil:
		m.people, m.pairs = spill.New(m.rateHz), make([]float32, 2*m.hop)
	}
	m.ear.Part(m.people != nil)
}

// compare takes a hop, and looks at what is known once a second.
func (m *Meter) compare() {
	for i := range m.hop {
		m.pairs[2*i], m.pairs[2*i+1] = m.in[i*m.channels], m.in[i*m.channels+1]
	}
	m.people.Process(m.pairs)
	if m.frames/int64(m.rateHz) != (m.frames+int64(m.hop))/int64(m.rateHz) {
		m.between = m.people.Result()
		if m.channels == 2 && m.between.Known() { // the last that was known holds on
			m.ear.SetBorder(m.between.BorderDB)
		}
	}
}

// Forget forgets what the last seconds sounded like, as after a change of input.
func (m *Meter) Forget() {
	m.ear.Reset()
	m.ear.SetBorder(0)
	if m.people != nil {
		m.people.Reset()
		m.between = spill.Result{}
	}
}

// SetView changes how the meters are read from the next hop on. What stays
// the same in the view goes on undisturbed.
func (m *Meter) SetView(v View) {
	old := m.view
	m.view = v
	if v.HoldSeconds != old.HoldSeconds {
		m.input.setHold(v.HoldSeconds)
		m.output.setHold(v.HoldSeconds)
		m.feed.setHold(v.HoldSeconds)
		m.bands.setHold(v.HoldSeconds)
	}
	if v.Ballistics != old.Ballistics {
		m.input.setBallistics(v.Ballistics)
		m.output.setBallistics(v.Ballistics)
		m.feed.setBallistics(v.Ballistics)
	}
	if v.Camera.OffsetDB != old.Camera.OffsetDB || v.Camera.ClipDBFS != old.Camera.ClipDBFS {
		m.rescale()
	}
	if v.BandTap != old.BandTap || v.BandChannel != old.BandChannel {
		m.bands.setStream(v.BandChannel)
	}
	if v.BandTime != old.BandTime {
		m.bands.setTime(v.BandTime)
	}
}

// rescale lets the overloads agree with the least headroom, which is that of the
// same peaks on the new scale: how often they came so close there nobody counted.
func (m *Meter) rescale() {
	side, channels := m.sent()
	for c := range channels {
		m.overs[c].rescale(m.view.Camera, side.peaks[c].max)
	}
	for c := range m.channels {
		m.alone[c].rescale(m.view.Camera, m.output.peaks[c].max)
	}
}

// ResetHolds clears holds, maxima, clip counts and integrated loudness.
func (m *Meter) ResetHolds() {
	m.input.resetHolds()
	m.output.resetHolds()
	m.feed.resetHolds()
	m.bands.resetHolds()
	m.loudness.Reset()
	m.overs, m.alone = [2]overs{}, [MaxChannels]overs{}
}
