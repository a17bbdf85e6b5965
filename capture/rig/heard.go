package rig

import (
	"rollready/dsp/advice"
	"rollready/dsp/verdict"
)

// codes are the verdict's for those of the advice, and where it is done.
var codes = map[advice.Code]struct {
	code  verdict.Code
	place verdict.Place
}{
	advice.Silence: {verdict.Silence, verdict.OnSet}, advice.InputClipped: {verdict.InputClipped, verdict.Interface},
	advice.FlatTopped: {verdict.FlatTopped, verdict.OnSet}, advice.InputHot: {verdict.TooHot, verdict.Interface},
	advice.LowerGain: {verdict.TooHot, verdict.Here}, advice.CameraInputHigh: {verdict.TooHot, verdict.Camera},
	advice.VeryLittle: {verdict.Speak, verdict.OnSet}, advice.Listening: {verdict.Speak, verdict.OnSet},
	advice.RaisePreamp: {verdict.TooQuiet, verdict.Interface}, advice.RaiseGain: {verdict.TooQuiet, verdict.Here},
	advice.CameraInputLow: {verdict.TooQuiet, verdict.Camera}, advice.SafeToRoll: {verdict.SafeToRoll, verdict.Here},
}

// asFinding is advice in the words of all verdicts.
func asFinding(a advice.Advice) verdict.Finding {
	to := codes[a.Code]
	return verdict.Finding{Code: to.code, Severity: verdict.Severity(a.Severity), Place: to.place, Channel: max(0, a.Channel+1), ByDB: a.ByDB, Message: a.Text}
}
