package live

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/hearing"
	"rollready/dsp/verdict"
)

// Figures of our own (common practice, no source); the others are in verdict.
const (
	sticky       = 1.5  // what is said goes on being said for this much longer, in dB
	leastGainDB  = -6.0 // lower than this the gain is not turned for the camera: its own mic level is too high
	usualOutDBTP = -9.0 // an output above is too high by itself, whatever the camera
	preampDB     = 6.0  // room in the converter worth going there for
	preampStays  = 3.0  // and how much less or more it takes to change the hand
	crestDB      = 3.0  // loud moments over speech peaks
	outputAimDB  = 6.0  // under full scale: where an output that overloads is to come
)

// facts is what is judged.
type facts struct {
	said            verdict.Finding
	speech, loudest float64 // at the input, dBTP
	out, loudestOut float64 // behind the chain
	over            bool    // the camera was overloaded
	clipping        bool    // the input, and that is said
	spoken          bool
	gainDB          float64
	scale           camera.Scale
}

// stays widens a limit for what is said.
func (f *facts) stays(c verdict.Code, p verdict.Place) float64 {
	if f.said.Code == c && f.said.Place == p {
		return sticky
	}
	return 0
}

func judgeLevel(r *dsp.Reading, s *Situation, e *events, said verdict.Finding) []verdict.Finding {
	h := &r.Heard
	now := float64(r.Frames) / float64(r.RateHz)
	f := facts{said: said, speech: math.Inf(-1), out: math.Inf(-1), loudest: e.input.max(), loudestOut: e.output.max(),
		over: e.overloaded(now), clipping: e.clipping(now), gainDB: s.Chain.GainDB, scale: s.Camera,
		spoken: spokenNow(r)}
	for c := range r.Channels {
		f.speech = max(f.speech, h.Channels[c].SpeechDBTP)
		f.out = max(f.out, h.Channels[c].SpeechOutDBTP)
	}
	if !f.spoken { // of whatever it was
		f.speech, f.out = f.loudest-crestDB, f.loudestOut-crestDB
	}
	summed := summedDB(r, s)
	f.out, f.loudestOut = f.out+summed, f.loudestOut+summed
	return f.judge()
}

// summedDB is by how much the same sound in several microphones gets higher where
// they go to one channel of the camera; 0 where it does not.
func summedDB(r *dsp.Reading, s *Situation) float64 {
	alone, fed := math.Inf(-1), math.Inf(-1)
	for c := range r.Channels {
		alone = max(alone, s.Camera.Reads(r.Output[c].MaxDBTP))
	}
	for c := range r.Fed {
		fed = max(fed, s.Camera.ClipDBFS-r.Camera[c].LeastHeadroomDB)
	}
	return verdict.SummedDB(fed, alone)
}

// spokenNow tells whether a voice was heard, long enough to judge its level.
func spokenNow(r *dsp.Reading) bool {
	return r.Heard.SpokenSeconds >= hearing.LevelSeconds && r.Heard.PauseSeconds <= pauseSeconds
}

func (f *facts) judge() (found []verdict.Finding) {
	if f.loudest >= verdict.InputHotDBTP-f.stays(verdict.TooHot, verdict.Interface) {
		by := max(3, max(f.speech, f.loudest-outputAimDB)-verdict.InputTargetDBTP)
		hot := verdict.InterfaceHot(verdict.Where{}, verdict.InputTargetDBTP+by)
		if f.over || f.loudestOut >= verdict.OutputMaxDBTP {
			hot = hot.With(verdict.Stop)
		}
		if !f.clipping {
			found = append(found, hot)
		}
		f.out, f.loudestOut, f.over = f.out-by, f.loudestOut-by, false // what is left once it is done
	}
	if high, is := f.high(); is {
		return append(found, high)
	}
	if f.spoken && len(found) == 0 {
		if low, is := f.low(); is {
			found = append(found, low)
		}
	}
	return found
}

// high finds what is too high behind the input.
func (f *facts) high() (verdict.Finding, bool) {
	stays := f.stays(verdict.TooHot, verdict.Here) + f.stays(verdict.TooHot, verdict.Camera)
	if f.loudestOut >= verdict.OutputMaxDBTP-stays {
		by := max(f.loudestOut+outputAimDB, f.scale.Reads(f.out)-f.scale.Middle())
		return verdict.LowerGain(verdict.Stop, by), true
	}
	peak := f.scale.Reads(f.out)
	if !f.over && (!f.spoken || f.sits() != camera.Hot) {
		return verdict.Finding{}, false
	}
	severity := verdict.Caution
	if f.over || f.scale.Zone(peak) == camera.Over {
		severity = verdict.Stop
	}
	by := max(1, peak-f.scale.Middle())
	if f.over && (math.IsInf(by, 0) || math.IsNaN(by) || by < 3) {
		by = 3
	}
	if f.byGain(by) {
		return verdict.LowerGain(severity, by), true
	}
	return verdict.LowerCamera(severity, by), true
}

// sits tells where the voice lies, as in a check: what is said of it, right or not,
// goes on being said a little longer.
func (f *facts) sits() camera.Zone {
	low, high := verdict.EdgeDB, verdict.EdgeDB
	switch {
	case f.said.Severity == verdict.Good:
		low, high = sticky, sticky
	case f.said.Code == verdict.TooQuiet:
		low = -sticky
	case f.said.Code == verdict.TooHot && f.said.Place != verdict.Interface:
		high = -sticky
	}
	return verdict.Sits(f.scale, f.scale.Reads(f.out), low, high)
}

// byGain tells whether too high a camera is to be brought down by our gain: our
// output is too high by itself, or the gain need not go far down. The hand that
// is asked now goes on being asked.
func (f *facts) byGain(by float64) bool {
	after := f.gainDB - by
	switch {
	case f.stays(verdict.TooHot, verdict.Here) > 0:
		after += preampStays
	case f.stays(verdict.TooHot, verdict.Camera) > 0:
		after -= preampStays
	}
	return f.out > usualOutDBTP || after >= leastGainDB
}

// low finds what is too low: the preamp comes first while the converter has
// room, as gain added later raises the noise with it.
func (f *facts) low() (verdict.Finding, bool) {
	peak := f.scale.Reads(f.out)
	if f.sits() != camera.Low || math.IsInf(f.out, -1) { // muted: no gain helps
		return verdict.Finding{}, false
	}
	by := max(1, f.scale.Middle()-peak)
	room, worth := verdict.InputTargetDBTP-f.speech, preampDB
	switch {
	case f.stays(verdict.TooQuiet, verdict.Interface) > 0:
		worth -= preampStays
	case f.stays(verdict.TooQuiet, verdict.Here)+f.stays(verdict.TooQuiet, verdict.Camera) > 0:
		worth += preampStays
	}
	switch {
	case room >= worth:
		return verdict.RaisePreamp(f.speech, min(by, room)), true
	case f.out+by > verdict.OutputMaxDBTP:
		return verdict.RaiseCamera(by), true
	}
	return verdict.RaiseGain(by), true
}
