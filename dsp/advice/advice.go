// Package advice turns readings into the one sentence that says what to do
// next, and where: at the microphone, at the interface's preamp, at the gain
// here, or at the camera.
//
// It judges the highest peaks of the last seconds, so that the pauses of a
// voice change nothing, and says something new only once it has held for a
// while. What overloads is said at once.
package advice

// Code names a piece of advice for programs and tests.
type Code string

// The codes, most pressing first.
const (
	Silence         Code = "silence"           // nothing comes in
	InputClipped    Code = "input-clipped"     // the interface's converter overloads
	FlatTopped      Code = "flat-topped"       // it clips before the interface
	InputHot        Code = "input-hot"         // the converter is nearly full
	LowerGain       Code = "lower-gain"        // our gain brings output or camera too high
	CameraInputHigh Code = "camera-input-high" // the camera's mic level is set too high
	VeryLittle      Code = "very-little"       // nobody speaks, or the preamp is all the way down
	Listening       Code = "listening"         // not heard enough yet
	RaisePreamp     Code = "raise-preamp"      // too quiet, and the converter has room
	RaiseGain       Code = "raise-gain"        // too quiet at the camera only
	CameraInputLow  Code = "camera-input-low"  // too quiet, and our output has no room
	SafeToRoll      Code = "safe-to-roll"      // speech sits in the target window
)

// Severity says how pressing it is.
type Severity string

// The severities: do not roll; better not; to know; all is well.
const (
	Stop    Severity = "stop"
	Caution Severity = "caution"
	Info    Severity = "info"
	Good    Severity = "good"
)

// Advice is one sentence. A plain value.
type Advice struct {
	Code     Code
	Severity Severity
	Channel  int // the input channel it is about, from 0; −1: all
	ByDB     int // about how much to turn, 0 where that is not known
	Text     string
}
