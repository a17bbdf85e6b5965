package rig

import (
	"slices"

	"rollready/capture/rig/alert"
	"rollready/dsp/earcon"
	"rollready/dsp/verdict"
	"rollready/presets"
)

// Tell lets a face deliver the alerts that are chosen in the settings; nil ends
// it. Earcons the rig plays itself. deliver is called on a goroutine of its own
// and may wait some seconds.
func (r *Rig) Tell(deliver func(alert.Alert)) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.tell = deliver
}

// tend does what is due at a moment, whether a face looks or not. One goroutine
// calls it.
func (r *Rig) tend(s *State) {
	r.alert(s)
	r.beat(s)
	r.stopInPause(s)
}

func (r *Rig) alert(s *State) {
	r.mu.Lock()
	deliver := r.tell
	r.mu.Unlock()
	for _, a := range r.watch.Look(s.At, alarming(s), s.Settings.Alerts) {
		if a.Ways.Has(presets.Earcon) {
			r.earcon(s, earcons[a.Kind])
		}
		if deliver != nil && a.Ways.Has(presets.Bell|presets.Notification) {
			r.parts.Go(func() { deliver(a) })
		}
	}
}

// alarming lists what may be worth an alert: the conditions of the whole, and
// overloads that are heard now. Silence counts only while a take rolls.
func alarming(s *State) []verdict.Finding {
	list := s.whole
	for _, c := range s.Conditions {
		if s.Playing == nil && (c.Code == verdict.InputClipped || c.Code == verdict.OutputClipped) {
			list = append(slices.Clip(list), c)
		}
	}
	return list
}

var earcons = [presets.AlertKinds]earcon.Kind{
	presets.AlertTakeStopped: earcon.TakeStopped, presets.AlertInputLost: earcon.InputLost, presets.AlertClipped: earcon.Clipped,
	presets.AlertSilence: earcon.Silence, presets.AlertRunningLow: earcon.RunningLow, presets.AlertCameraLost: earcon.CameraLost,
}

// earcon plays a short sound in the headphones. Where their output is the
// camera's, or that it was lined up over, the camera would get it: then nothing
// is played.
func (r *Rig) earcon(s *State, k earcon.Kind) {
	if s.Private() {
		r.parts.Sound.Earcon(k)
	}
}

// Private tells that what is played in the headphones alone can't reach the
// camera.
func (s *State) Private() bool {
	p := s.Phones
	return p.Open && !s.Camera.LinedUpWith.MayBe(p.Device) && !(s.ToCamera.Open && s.ToCamera.Device.Is(p.Device))
}
