package take

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rollready/dsp/camera"
	"rollready/dsp/verdict"
)

// The words for a take as a whole.
const (
	Clean    = "clean"
	Listen   = "listen"   // to what the reasons say
	Running  = "rolling"  // now
	Unjudged = "unjudged" // of ours, but nobody measured it whole
	Unknown  = "unknown"  // not recorded here: nobody watched it
)

// Verdict is one of the words above, and why.
func (t Take) Verdict() (word string, why []string) {
	why = append(t.mishaps(), t.heard()...)
	switch {
	case t.Live:
		return Running, why
	case why != nil:
		return Listen, why
	case t.Judged || t.Frames == 0:
		return Clean, nil
	case t.foreign():
		return Unknown, []string{"recorded elsewhere: rollready report measures it"}
	}
	return Unjudged, []string{"not judged yet: rollready take list --judge does"}
}

// foreign tells that a take was not recorded here.
func (t Take) foreign() bool {
	return !t.Judged && math.IsNaN(float64(t.Levels.OutputPeakDBTP)) && t.State == Ended
}

// mishaps is what went wrong in the recording.
func (t Take) mishaps() (why []string) {
	add := func(bad bool, format string, args ...any) {
		if bad {
			why = append(why, fmt.Sprintf(format, args...))
		}
	}
	add(t.State == Mended, "mended after it was cut short")
	add(t.State == Rolling && !t.Live, "never ended: mend it")
	add(t.Levels.Clips > 0 && !t.has(verdict.InputClipped), "input clipped %d×", t.Levels.Clips)
	add(t.Lost > 0, "input away for %.1f s", t.seconds(t.Lost))
	add(t.Lag > 0, "disk too slow, %.2f s missing", t.seconds(t.Lag))
	add(t.Dropouts > 0, "%d frames dropped out", t.Dropouts)
	for _, e := range t.Events {
		add(e.Kind == verdict.Silence || e.Kind == verdict.RecordingFailed, "%s", e.Text)
	}
	return why
}

// heard is what the measuring found, but what only is good to know and what is
// said already.
func (t Take) heard() (why []string) {
	for _, f := range t.Findings {
		switch {
		case f.Severity != verdict.Stop && f.Severity != verdict.Caution,
			f.Code == verdict.Dropouts && t.Lost+t.Lag > 0,
			t.RoomTone && (f.Code == verdict.NoVoice || f.Code == verdict.TooQuiet):
		default:
			why = append(why, reason(f))
		}
	}
	return why
}

// reason is a finding in few words, with the tracks to take instead.
func reason(f verdict.Finding) string {
	text := strings.TrimSuffix(f.Message, ".")
	if instead := strings.TrimSuffix(f.Instead(), "."); instead != "" {
		text += " (" + strings.ToLower(instead[:1]) + instead[1:] + ")"
	}
	return text
}

func (t Take) has(c verdict.Code) bool {
	return slices.ContainsFunc(t.Findings, func(f verdict.Finding) bool { return f.Code == c })
}

// cameraFindings judges what the camera got, by its line-up: as a check does, a
// peak that reaches the clip point is an overload.
func (t *Take) cameraFindings() []verdict.Finding {
	scale := camera.Scale{OffsetDB: t.OffsetDB, ClipDBFS: t.ClipDBFS}
	if headroom := scale.Headroom(float64(t.Levels.CameraPeakDBTP)); headroom < verdict.OverloadDB {
		return []verdict.Finding{verdict.CameraOverloaded(-headroom)}
	}
	return nil
}
