package advice

import "rollready/dsp/camera"

// Figures of the judgement (common practice, no source).
const (
	littleDBTP    = -50.0 // below: nobody speaks
	hotDBTP       = -3.0  // input peaks above leave the converter no room
	inputAimDBTP  = -12.0 // where a preamp is set to bring speech peaks
	outputMaxDBTP = -1.0  // output peaks above overload the output device
	leastGainDB   = -24.0 // below, the output's own noise comes up; the camera is set too high
	worthDB       = 3.0   // room in the converter worth using
	sticky        = 1.5   // what is said now goes on being said for this much longer, in dB
)

// Channels an advice may be about, besides a single one.
const (
	all  = -1
	none = -2
)

// facts is what is judged: the highest peaks of the last seconds.
type facts struct {
	now        Code // what is being said
	silent     bool // nothing came in for a while
	clipped    int  // channel that clipped lately at the input
	flat       int  // channel with flat tops lately
	hot        int  // channel without room at the input
	listened   bool
	inputDBTP  float64 // loudest channel
	outputDBTP float64
	gainDB     float64
	scale      camera.Scale
}

// stays widens the limit of what is being said, so that it does not flicker.
func (f facts) stays(c Code) float64 {
	if f.now == c {
		return sticky
	}
	return 0
}

// judge finds the most pressing advice.
func judge(f facts) Advice {
	switch {
	case f.clipped != none:
		return say(InputClipped, f.clipped, 0)
	case f.flat != none:
		return say(FlatTopped, f.flat, 0)
	case f.silent:
		return say(Silence, all, 0)
	case f.hot != none:
		return say(InputHot, f.hot, f.inputDBTP-inputAimDBTP)
	}
	if high, ok := judgeHigh(f); ok {
		return high
	}
	switch {
	case !f.listened:
		return say(Listening, all, 0)
	case f.inputDBTP < littleDBTP:
		return say(VeryLittle, all, 0)
	}
	return judgeLow(f)
}

// judgeHigh finds what is too high after the input.
func judgeHigh(f facts) (Advice, bool) {
	peak := f.scale.Reads(f.outputDBTP)
	if f.outputDBTP >= outputMaxDBTP-f.stays(LowerGain) {
		return say(LowerGain, all, max(f.outputDBTP+6, peak-f.scale.Middle())).at(Stop), true
	}
	limit := f.scale.TargetHighDBFS - f.stays(LowerGain) - f.stays(CameraInputHigh) + f.stays(SafeToRoll)
	if peak <= limit {
		return Advice{}, false
	}
	severity := Caution
	if f.scale.Zone(peak) == camera.Over {
		severity = Stop
	}
	by := peak - f.scale.Middle()
	if f.gainDB-by < leastGainDB {
		return say(CameraInputHigh, all, by).at(severity), true
	}
	return say(LowerGain, all, by).at(severity), true
}

// judgeLow finds what is too low: the preamp comes first while the converter
// has room, as gain added later raises the noise with it.
func judgeLow(f facts) Advice {
	peak := f.scale.Reads(f.outputDBTP)
	raising := f.stays(RaisePreamp) + f.stays(RaiseGain) + f.stays(CameraInputLow)
	if peak >= f.scale.TargetLowDBFS+raising-f.stays(SafeToRoll) {
		return say(SafeToRoll, all, 0)
	}
	by := f.scale.Middle() - peak
	switch room := inputAimDBTP - f.inputDBTP; {
	case room >= worthDB-f.stays(RaisePreamp):
		return say(RaisePreamp, all, min(by, room))
	case f.outputDBTP+by > outputMaxDBTP:
		return say(CameraInputLow, all, by)
	default:
		return say(RaiseGain, all, by)
	}
}
