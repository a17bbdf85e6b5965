package verdict

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"rollready/dsp/camera"
)

// Every function here words one finding about how loud a voice is, along its
// way: at the interface, behind our own gain, at the camera.

// InterfaceHot says that the input runs close to its limit.
func InterfaceHot(w Where, peakDBTP float64) Finding {
	by := peakDBTP - InputTargetDBTP
	return say(TooHot, Caution, Interface, w,
		fmt.Sprintf("Speech peaks reach %s dBFS at the input%s: one laugh and it overloads.", whole(peakDBTP), w.of()),
		fmt.Sprintf("Turn the gain at the interface down by about %s.", decibels(by)),
		w.subject("the input", "are nearly full")+": turn the preamp down by about "+decibels(by)+".").turn(-by)
}

// InterfaceQuiet says that the input is far too low.
func InterfaceQuiet(w Where, peakDBTP float64) Finding {
	by := InputTargetDBTP - peakDBTP
	return say(TooQuiet, Caution, Interface, w,
		fmt.Sprintf("Speech peaks only reach %s dBFS at the input%s.", whole(peakDBTP), w.of()),
		fmt.Sprintf("Turn the gain at the interface up by about %s, or go closer to the microphone.", decibels(by)),
		fmt.Sprintf("Too quiet: turn the interface's preamp up by about %s.", decibels(by))).turn(by)
}

// Unspoken judges the peaks of what comes in where no voice was found in it.
func Unspoken(w Where, peakDBTP float64) (f Finding, found bool) {
	switch {
	case peakDBTP > InputHotDBTP:
		hot := InterfaceHot(w, peakDBTP)
		hot.Message = "What comes in" + w.on() + " nearly fills the input."
		return hot, true
	case peakDBTP < InputQuietDBTP:
		return say(TooQuiet, Info, Interface, w, fmt.Sprintf("What comes in%s only reaches %s dBFS.", w.on(), whole(peakDBTP)),
			"If somebody spoke, turn the gain at the interface up, or go closer to the microphone.", ""), true
	}
	return Finding{}, false
}

// UnspokenOver says that what is no voice overloads the camera by so much.
func UnspokenOver(byDB float64) Finding {
	message := "Loud moments overload the camera by " + decibels(byDB) + "."
	if byDB < 0.5 {
		message = "Loud moments reach the camera's clip point."
	}
	by := math.Max(byDB, 0) + camera.OverDB
	return say(TooHot, Stop, Here, Where{}, message, "Lower the gain here by about "+decibels(by)+".", "").turn(-by)
}

// RaisePreamp says that the interface has room for so much more.
func RaisePreamp(peakDBTP, byDB float64) Finding {
	f := InterfaceQuiet(Where{}, peakDBTP).turn(byDB)
	f.Action = fmt.Sprintf("Turn the gain at the interface up by about %s.", decibels(byDB))
	f.Line = fmt.Sprintf("Too quiet: turn the interface's preamp up by about %s.", decibels(byDB))
	return f
}

// RecordedQuiet says that a voice was recorded far too low.
func RecordedQuiet(w Where, peakDBTP float64) Finding {
	return say(TooQuiet, Caution, OnSet, w, fmt.Sprintf("The voice%s only peaks at %s dBTP.", w.of(), whole(peakDBTP)),
		"Raising it later raises its noise as well: next time turn the gain up, or go closer to the microphone.", "")
}

// CameraOverloaded says that a take drove the camera to its clip point, or so
// far past it.
func CameraOverloaded(byDB float64) Finding {
	message := "Loud moments overloaded the camera by " + decibels(byDB) + "."
	if byDB < 0.5 {
		message = "Loud moments reached the camera's clip point."
	}
	return say(TooHot, Stop, Here, Where{}, message,
		"Take the sound of this file, not the camera's; lower the gain here for the next take.", "").turn(-math.Max(byDB, 0))
}

// LowerGain says that our own gain brings the output or the camera too high by
// so much.
func LowerGain(severity Severity, byDB float64) Finding {
	return say(TooHot, severity, Here, Where{}, "The voice is too high behind our gain.",
		"Lower the gain here by about "+decibels(byDB)+".",
		"Too high after our gain: lower Gain here by about "+decibels(byDB)+".").turn(-byDB)
}

// RaiseGain says that only our own gain keeps the camera too low.
func RaiseGain(byDB float64) Finding {
	return say(TooQuiet, Caution, Here, Where{}, "The voice is too quiet at the camera.",
		"Raise the gain here by about "+decibels(byDB)+".",
		"Too quiet at the camera: raise Gain here by about "+decibels(byDB)+".").turn(byDB)
}

// LowerCamera says that the camera's mic level is set too high.
func LowerCamera(severity Severity, byDB float64) Finding {
	return say(TooHot, severity, Camera, Where{}, "The voice is too high at the camera.",
		"Lower the camera's mic level by about "+decibels(byDB)+".",
		"Too high at the camera: lower the camera's mic level by about "+decibels(byDB)+".").turn(-byDB)
}

// RaiseCamera says that the camera's mic level is set too low: our output has
// no room left.
func RaiseCamera(byDB float64) Finding {
	return say(TooQuiet, Caution, Camera, Where{}, "The voice is too quiet at the camera, and our output is full.",
		"Raise the camera's mic level by about "+decibels(byDB)+".",
		"Our output is full: raise the camera's mic level by about "+decibels(byDB)+".").turn(byDB)
}

// Placed is a voice as it reaches the camera, and the gain that suits it.
type Placed struct {
	SpeechDBTP, LoudestDBTP float64 // behind the chain: speech peaks, and the loudest moment
	GainDB, SuitsDB         float64 // as set, and as it suits
}

// SummedDB is by how much a voice is higher at the camera, in dB, than in the
// loudest microphone alone; 0 where it is not, or nothing is known.
func SummedDB(fed, alone float64) float64 {
	if by := fed - alone; by > 0 && !math.IsInf(by, 0) {
		return by
	}
	return 0
}

// EdgeDB is how far from the target window a voice may be without a word: less
// rounds to nothing.
const EdgeDB = 0.5

// Sits tells whether speech peaks on the camera's scale are Low, Hot or in the
// Target window, out of which they may lie by less than the edges.
func Sits(s camera.Scale, readsDBFS, lowEdgeDB, highEdgeDB float64) camera.Zone {
	switch {
	case readsDBFS-s.TargetHighDBFS >= highEdgeDB:
		return camera.Hot
	case s.TargetLowDBFS-readsDBFS >= lowEdgeDB:
		return camera.Low
	}
	return camera.Target
}

// AtCamera judges where a voice sits on the camera's scale.
func AtCamera(s camera.Scale, p Placed) (f Finding, found bool) {
	reads, headroom := s.Reads(p.SpeechDBTP), s.Headroom(s.Reads(p.LoudestDBTP))
	switch sits := Sits(s, reads, EdgeDB, EdgeDB); {
	case headroom < OverloadDB:
		return p.cameraOver(headroom), true
	case sits == camera.Hot:
		return p.cameraHot(reads - s.TargetHighDBFS), true
	case sits == camera.Low:
		return p.cameraQuiet(s.TargetLowDBFS-reads, headroom), true
	}
	return Finding{}, false
}

// step tells whether the gain is to be changed by a figure that shows.
func (p Placed) lower() bool { return p.GainDB-p.SuitsDB >= 0.5 }
func (p Placed) raise() bool { return p.SuitsDB-p.GainDB >= 0.5 }

func (p Placed) setGain() string { return "Set the output gain to " + gain(p.SuitsDB) }

func (p Placed) cameraOver(headroomDB float64) Finding {
	message := "Loud moments overload the camera by " + decibels(-headroomDB) + "."
	if headroomDB > -0.5 {
		message = "Loud moments reach the camera's clip point."
	}
	return p.high(Stop, message)
}

func (p Placed) cameraHot(aboveDB float64) Finding {
	return p.high(Caution, "Speech peaks sit "+decibels(aboveDB)+" above the camera's target window.")
}

// high words a voice that is too high. Where the gain that suits is not lower,
// it suits behind the high-pass that suits: thumps made the peaks.
func (p Placed) high(severity Severity, message string) Finding {
	action := p.setGain() + "."
	if !p.lower() {
		action = "Set the high-pass as it suits: thumps and rumble make the peaks so high."
	}
	return say(TooHot, severity, Here, Where{}, message, action, "").turn(p.SuitsDB - p.GainDB)
}

// cameraQuiet words a voice that is too low, and what keeps the gain from
// bringing it up.
func (p Placed) cameraQuiet(belowDB, headroomDB float64) Finding {
	severity := Info
	if belowDB > FarBelowDB {
		severity = Caution
	}
	place, action := Here, p.setGain()
	suffices := p.SuitsDB-p.GainDB >= belowDB-0.05
	loud := headroomDB-camera.OverDB < belowDB // loud moments leave no room
	switch {
	case suffices:
	case loud && p.raise():
		action += ", and speak more evenly: loud moments leave no more room"
	case loud:
		place, action = OnSet, "Speak more evenly, a little away from the microphone: loud moments leave no room for more gain"
	case p.raise():
		action += " and turn the camera's mic level up"
	default:
		place, action = Camera, "Turn the camera's mic level up by about "+decibels(belowDB)
	}
	by := 0.0
	if place == Here {
		by = math.Max(0, p.SuitsDB-p.GainDB)
	}
	return say(TooQuiet, severity, place, Where{}, "Speech peaks sit "+decibels(belowDB)+" under the camera's target window.", action+".", "").turn(by)
}

// NotYetJudged says that nobody has spoken long enough.
func NotYetJudged() Finding {
	return say(Speak, Info, OnSet, Where{}, "Nobody has spoken yet.", "Speak as you will on camera.", "Listening: speak as you will on camera.")
}

// SpeakAgain says that nobody speaks now, and how the last voice was judged so
// many seconds ago; nothing is said of one that is long past.
func SpeakAgain(last Finding, seconds int) Finding {
	f := NotYetJudged()
	if last.Code != "" {
		ago := strconv.Itoa(seconds) + " s ago: "
		f.Message = "Nobody speaks now; " + ago + last.Text()
		f.Line = ago + last.Text()
		if _, do, both := strings.Cut(last.Text(), ": "); both && utf8.RuneCountInString(f.Line) > lineCells {
			f.Line = ago + do
		}
	}
	return f
}

// Right says that the level is right.
func Right() Finding {
	return say(LevelRight, Good, Here, Where{}, "Speech sits in the target window: level is right.", "", "")
}

// Safe says that all is well.
func Safe() Finding {
	return say(SafeToRoll, Good, Here, Where{}, "Speech sits in the target window: safe to roll.", "", "")
}

// RightInDemo says so of a scene that nobody may roll on.
func RightInDemo() Finding {
	return say(LevelRight, Good, Here, Where{}, "In this demo speech sits in the target window.", "", "")
}

// CheckedNotReady says that the level is right, and what the last check said.
func CheckedNotReady() Finding {
	return say(CheckNotReady, Caution, Here, Where{}, "Level is right, but the check said not ready.", "See what it found.",
		"Level is right, but the check said NOT READY: see Check.")
}
