package rig

import (
	"runtime"
	"slices"
	"strings"

	"rollready/capture"
	"rollready/dsp/verdict"
	"rollready/dsp/verdict/live"
	"rollready/presets"
)

// judge finds what is wrong now, and the one thing to say. While nothing comes in
// the sound is as it was last judged, and not spoken of.
func (r *Rig) judge(s *State) {
	s.Conditions = conditions(s)
	s.whole = s.Conditions
	if s.Dead() {
		s.Sentence = s.Conditions[0]
		return
	}
	found := r.parts.Judge(s.Reading, live.Situation{Chain: s.Settings.Chain(), Camera: s.Settings.View.Camera, Fed: s.Fed(), Conditions: said(s.Conditions),
		People: People(s.Settings.Strips, s.Status.Picked)})
	s.Sentence = found.Sentence
	if slices.ContainsFunc(s.Conditions, func(f verdict.Finding) bool { return f.Code == verdict.DigitalSilence }) {
		found.Findings = slices.DeleteFunc(found.Findings, func(f verdict.Finding) bool { return f.Code == verdict.Silence }) // it says so, and why
	}
	found.Zones(&s.Reading)
	if s.Sentence.Severity == verdict.Good {
		s.Sentence = good(s)
	}
	for _, c := range s.Conditions {
		if slices.Contains(unsaid, c.Code) {
			found.Findings = append(found.Findings, c)
		}
	}
	s.Conditions = slices.Clone(found.Findings) // the judge keeps its own
	s.named(s.Conditions)
	s.Sentence = s.withName(s.Sentence)
	verdict.Sort(s.Conditions)
}

// conditions lists what is wrong now with the running whole, the weightiest
// first.
func conditions(s *State) []verdict.Finding {
	var list []verdict.Finding
	for _, of := range [...]func(*State) []verdict.Finding{ofInput, ofCamera, ofHeadphones, ofTake} {
		list = append(list, of(s)...)
	}
	if s.Battery.Low() {
		list = append(list, verdict.Battery(s.Battery.Percent))
	}
	verdict.Sort(list)
	return slices.CompactFunc(list, func(a, b verdict.Finding) bool { return a.Code == b.Code })
}

func ofInput(s *State) (list []verdict.Finding) {
	in := s.Status
	switch {
	case in.Fault != "":
		list = append(list, verdict.Faulted(in.Fault))
	case in.Lost:
		list = append(list, verdict.LostInput(in.Called(), in.LostFor))
	case in.Kind == capture.Device:
		list = append(list, ofDevice(s)...)
	}
	if s.noneSent() {
		list = append(list, verdict.NoneSent())
	}
	if in.Dropouts > 0 {
		list = append(list, verdict.Frames(in.Dropouts))
	}
	if in.Sanitised > 0 {
		list = append(list, verdict.NoNumbers(in.Sanitised))
	}
	return list
}

// ofDevice tells what is wrong with a microphone that delivers.
func ofDevice(s *State) (list []verdict.Finding) {
	in := s.Status
	if in.Monitor {
		list = append(list, verdict.MonitorAsInput(in.Called()))
	}
	if in.Before != "" {
		list = append(list, verdict.AnotherInput(in.Called(), in.Before))
	}
	switch {
	case in.Mixed.Muted:
		list = append(list, verdict.MutedInput())
	case in.Zeros.Seconds() >= verdict.ZeroSeconds:
		list = append(list, verdict.OnlyZeros(runtime.GOOS))
	case !in.Mixed.Volume.Differs(presets.Volume{Known: true}):
	case in.Mixed.Volume.Uneven():
		list = append(list, verdict.UnevenInput())
	default:
		list = append(list, verdict.TurnedInput(in.Mixed.Volume.LoudestDB))
	}
	return list
}

// ofCamera tells what keeps the camera from getting what its meter here shows.
func ofCamera(s *State) []verdict.Finding {
	way, with := s.ToCamera, s.Camera.LinedUpWith
	switch {
	case s.Deaf: // nobody expects it to be fed
		return nil
	case !way.Open:
		return []verdict.Finding{verdict.NotFed()}
	case way.Fault != "":
		return []verdict.Finding{verdict.LostCamera(way.Device.Name, way.Fault)}
	case way.Lost:
		return []verdict.Finding{verdict.LostCamera(way.Device.Name, "")}
	case !way.Volume.Muted && with.Name != "" && !with.Is(way.Device):
		return []verdict.Finding{verdict.LineUpStale(OtherOutput(with, way.Device))}
	}
	return s.turned(way.Device, way.Volume)
}

// OtherOutput tells why a line-up does not hold for the output in use.
func OtherOutput(with, now presets.Output) string {
	switch {
	case with.Name != now.Name:
		return "it was made over " + with.Name + ", the camera is fed over " + now.Name
	case with.Key == "":
		return "several outputs are called " + now.Name + ", and which one it was made over is not known"
	}
	return "it was made over another output called " + now.Name
}

func ofHeadphones(s *State) []verdict.Finding {
	switch way := s.Phones; {
	case !way.Open:
	case way.Fault != "":
		return []verdict.Finding{verdict.HeadphonesStopped(way.Fault)}
	case way.Alarm != "":
		why, _, _ := strings.Cut(way.Alarm, ":")
		return []verdict.Finding{verdict.Howling(why)}
	case way.Lost:
		return []verdict.Finding{verdict.LostHeadphones(way.Device.Name)}
	}
	return nil
}

// ofTake tells what is wrong with the take that rolls, or why one was broken
// off, as long as nobody has seen it.
func ofTake(s *State) (list []verdict.Finding) {
	if s.Failure != "" {
		list = append(list, verdict.TakeBroken(s.Failure))
	}
	for _, a := range s.Rec.Alarms {
		switch a.Kind {
		case verdict.DiskLow:
			list = append(list, verdict.Disk(s.Rec.DiskLeft))
			continue
		case verdict.Lagging:
			list = append(list, verdict.DiskSlow(s.Rec.Lag))
			continue
		}
		said := strings.ToUpper(a.Text[:1]) + a.Text[1:]
		list = append(list, verdict.Finding{Code: a.Kind, Severity: verdict.Caution, Place: verdict.OnSet, Message: said + ".", Line: said + "."})
	}
	return list
}

// unsaid are conditions that have a place of their own on every face: the one
// sentence is not theirs.
var unsaid = []verdict.Code{verdict.RecordingFailed, verdict.Dropouts, verdict.NotFinite, verdict.Lagging, verdict.DiskLow, verdict.BatteryLow,
	verdict.CameraNotFed, verdict.Howl, verdict.HeadphonesLost}

// said are the others.
func said(all []verdict.Finding) (list []verdict.Finding) {
	for _, c := range all {
		if !slices.Contains(unsaid, c.Code) {
			list = append(list, c)
		}
	}
	return list
}

// good is what to say of a sound in which nothing is wrong. "Safe" is said only
// where the camera gets what was judged.
func good(s *State) verdict.Finding {
	switch {
	case s.Status.Kind == capture.Demo:
		return verdict.RightInDemo()
	case s.Checked != nil && s.Checked.Verdict == verdict.NotReady:
		return verdict.CheckedNotReady()
	case !s.Fed():
		return verdict.Right()
	}
	return verdict.Safe()
}

// Fed tells that the camera gets what leaves the chain.
func (s *State) Fed() bool {
	w := s.ToCamera
	return w.Open && !w.Lost && w.Fault == "" && !w.Volume.Muted
}

// ownPlace are conditions that have a place of their own on every screen.
var ownPlace = []verdict.Code{verdict.RecordingFailed, verdict.Dropouts, verdict.NotFinite, verdict.CameraNotFed}

// Alarms are the conditions of the running whole that must be seen whatever is
// shown, the weightiest first: all but those that have a place of their own,
// and what the room on the disk and the battery mean while no take rolls. What
// is wrong with the sound only the sentence says.
func (s *State) Alarms() (list []verdict.Finding) {
	for _, c := range s.whole {
		low := c.Code == verdict.DiskLow || c.Code == verdict.BatteryLow
		if !slices.Contains(ownPlace, c.Code) && (!low || s.Rec.Rolling) {
			list = append(list, c)
		}
	}
	return list
}

// First is the one thing to tell somebody who can read no more: the gravest of
// the sentence, the alarms, and a take that was broken off. Where the level is
// right the camera that does not get it is.
func (s *State) First() verdict.Finding {
	first := s.Sentence
	for _, c := range s.Alarms() {
		if c.Severity.Graver(verdict.Info) && verdict.Compare(c, first) < 0 {
			first = c
		}
	}
	notFed := func(f verdict.Finding) bool { return f.Code == verdict.CameraNotFed }
	if first.Code == verdict.LevelRight && slices.ContainsFunc(s.whole, notFed) {
		first = verdict.NotFed().With(verdict.Info)
	}
	if broken := verdict.TakeBroken(s.Failure); s.Failure != "" && verdict.Compare(broken, first) < 0 {
		first = broken
	}
	return first
}
