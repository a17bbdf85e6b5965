package rig

import (
	"math"
	"time"

	"rollready/capture/mixer"
	"rollready/capture/power"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/strips"
	"rollready/dsp/verdict"
	"rollready/presets"
)

// State is everything that a face shows, of one moment. A plain value: it does
// not change.
type State struct {
	Reading  dsp.Reading    // the newest
	Status   session.Status // of the input
	Settings presets.Settings
	Camera   presets.Camera
	Taken    strips.Settings // as the preset last taken set them, to show what changed since
	Mixed    bool            // the figures since the last reset hold sound from before a change of the chain
	Phones   Way
	ToCamera Way
	Rec      take.Status
	Count    Countdown
	Locked   bool     // the chain, while a take rolls
	Playing  *Playing // a take that stands in for the input, nil: none
	Check    Check
	Checked  *Checked // the last check of this input, nil: none
	LineUp   LineUp
	Battery  power.Battery
	Deaf     bool // nothing is sent anywhere: only the input is read

	// What is wrong now with the sound and the running whole, the weightiest
	// first, and the one sentence that says what to do.
	Conditions []verdict.Finding
	Sentence   verdict.Finding

	Failure string            // why the last take ended by itself, "" if it did not or the user has seen it
	whole   []verdict.Finding // the conditions but those of the sound
	At      time.Time

	Feed       presets.Output // that feeds the camera, or would; none: unknown
	FeedVolume mixer.Setting  // what the sound system does to it
}

// Way is a way out.
type Way struct {
	output.Status
	Open bool // false: none is chosen
}

// State gives the newest state, and judges what has come. It should be asked
// for some times a second; how often makes no difference to what it says.
func (r *Rig) State() State {
	p := r.parts
	s := State{LineUp: LineUp{LineState: p.Line.State()}, At: p.Now()}
	s.Phones.Status, s.Phones.Open = p.Sound.Status(Headphones)
	s.ToCamera.Status, s.ToCamera.Open = p.Sound.Status(CameraInput)
	s.Rec = p.Recorder.Status()
	r.mu.Lock()
	defer r.mu.Unlock()
	s.Status = p.Engine.Status()   // in turn: an older reading after a newer one is another input's
	s.Reading = p.Engine.Reading() // after the status: once ended, this is the last
	s.Settings, s.Camera, s.Taken, s.Battery = r.settings, r.camera, r.taken, r.battery
	s.Settings.Strip = r.chosen()
	r.look(&s)
	return s
}

// look brings the rig's own memory up to a moment, and tells it.
func (r *Rig) look(s *State) {
	r.mixed = r.mixed && s.Reading.Frames >= r.frames // another input is metered anew
	r.frames = s.Reading.Frames
	if r.checked != nil && r.checked.input != keyOf(s.Status, s.Settings) { // heard by another microphone
		r.checked = nil
	}
	s.Mixed, s.Checked, s.Deaf, s.Failure = r.mixed, r.checked, r.parts.Deaf, r.failure(s.Rec)
	s.Locked = r.locked(s.Rec)
	s.Count = r.countdown(s.At, s.Rec)
	if r.playing != nil {
		now := *r.playing
		s.Playing = &now
	}
	s.Check = r.check.state(s)
	r.line.show(&s.LineUp)
	for _, output := range []*presets.Output{&s.Phones.Device, &s.ToCamera.Device, &s.LineUp.Feeds} {
		r.besideKept(s, output)
	}
	s.Feed, s.FeedVolume = r.feed(s)
	r.judge(s)
}

// Dead tells that the meters show nothing that is true at this moment.
func (s *State) Dead() bool { return s.Status.Lost || s.Status.Fault != "" }

// IsPlaying tells whether a take is the one that is played.
func (s *State) IsPlaying(t take.Take) bool {
	return s.Playing != nil && s.Playing.Take.Path == t.Path
}

// LateWay is the way whose delay counts: that to the camera, where there is one.
func (s *State) LateWay() Way {
	if s.ToCamera.Open {
		return s.ToCamera
	}
	return s.Phones
}

// DefaultFrameRate is the camera's pictures per second while nobody told.
const DefaultFrameRate = 25

// FrameRate is the camera's pictures per second.
func (s *State) FrameRate() float64 {
	if hz := s.Camera.FrameRate; hz > 0 {
		return hz
	}
	return DefaultFrameRate
}

// RoomTone is the measured room tone in dBFS as the bands show it now: at the
// input, or through the chain's response; NaN where it is not known.
func (s *State) RoomTone(band int) float64 {
	if s.Checked == nil || len(s.Checked.Quiet) == 0 {
		return math.NaN()
	}
	list, v := s.Checked.Quiet, s.Settings.View
	of := list[len(list)-1]
	if c := int(v.BandChannel); c >= 0 && c < len(list)-1 {
		of = list[c]
	}
	if v.BandTap == dsp.TapInput {
		return of[band]
	}
	return of[band] + s.Settings.Chain().ResponseDB(bands.At(band).MidHz, s.Reading.RateHz)
}
