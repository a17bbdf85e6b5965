// Package lipsync says what it means when the sound comes later than the
// picture. Sound that goes through a program reaches the camera late; sound
// late is the direction people bear better, since far things sound late too.
package lipsync

import (
	"rollready/dsp/figure"
)

// The limits for late sound, in milliseconds.
const (
	StageMS      = 15.0  // EBU R 37-2007: each stage of production
	OverallMS    = 60.0  // EBU R 37-2007: the whole way to the transmitter
	NoticedMS    = 125.0 // ITU-R BT.1359-1: threshold of detectability
	AcceptableMS = 185.0 // ITU-R BT.1359-1: threshold of acceptability
)

// Rates are the usual frame rates of cameras, in pictures per second.
var Rates = [...]float64{24000.0 / 1001, 24, 25, 30000.0 / 1001, 30, 50, 60000.0 / 1001, 60}

// Frames converts milliseconds into pictures.
func Frames(ms, rate float64) float64 { return ms / 1000 * rate }

// Verdict is where a delay lies between the limits.
type Verdict string

// The verdicts, from harmless to not acceptable.
const (
	WithinStage   Verdict = "within-stage"
	WithinOverall Verdict = "within-overall"
	Unnoticed     Verdict = "unnoticed"
	Noticed       Verdict = "noticed"
	Unacceptable  Verdict = "unacceptable"
)

// Judge places a delay of the sound.
func Judge(lateMS float64) Verdict {
	switch {
	case lateMS <= StageMS:
		return WithinStage
	case lateMS <= OverallMS:
		return WithinOverall
	case lateMS <= NoticedMS:
		return Unnoticed
	case lateMS <= AcceptableMS:
		return Noticed
	}
	return Unacceptable
}

var words = map[Verdict]string{
	WithinStage:   "within the 15 ms of one production stage (EBU R 37)",
	WithinOverall: "over the 15 ms of one production stage, within the 60 ms of the whole way (EBU R 37)",
	Unnoticed:     "over the 60 ms of the whole way (EBU R 37), under the 125 ms at which people notice (ITU-R BT.1359)",
	Noticed:       "people notice from 125 ms on (ITU-R BT.1359)",
	Unacceptable:  "over the 185 ms that people accept (ITU-R BT.1359)",
}

// Words is one sentence about a delay of the sound at a camera that takes so
// many pictures per second: how late, which limit, what to do in the edit.
func Words(lateMS, rate float64) string {
	frames := Frames(lateMS, rate)
	text := figure.Sprintf("sound is late by %.1f ms, %.2f pictures at %.5g/s: %s", lateMS, frames, rate, words[Judge(lateMS)])
	if lateMS > StageMS {
		text += figure.Sprintf("; slip the sound %.1f ms earlier in the edit", lateMS)
	}
	return text
}
