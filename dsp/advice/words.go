package advice

import (
	"fmt"
	"math"
)

// say words an advice about a channel or all, and a figure in dB.
func say(c Code, channel int, byDB float64) Advice {
	by := max(1, int(math.Round(byDB)))
	a := Advice{Code: c, Severity: Caution, Channel: channel}
	where := "The input"
	if channel >= 0 {
		where = fmt.Sprintf("Input %d", channel+1)
	}
	switch c {
	case Silence:
		a.Severity, a.Text = Stop, "Nothing comes in: check the microphone's power, cable and channel."
	case InputClipped:
		a.Severity, a.Text = Stop, where+" overloads: turn the interface's preamp down."
	case FlatTopped:
		a.Severity, a.Text = Stop, where+" is cut off before the interface: turn microphone or transmitter down."
	case InputHot:
		a.ByDB, a.Text = by, fmt.Sprintf("%s is nearly full: turn the interface's preamp down by about %d dB.", where, by)
	case LowerGain:
		a.ByDB, a.Text = by, fmt.Sprintf("Too high after our gain: lower Gain here by about %d dB.", by)
	case CameraInputHigh:
		a.ByDB, a.Text = by, fmt.Sprintf("Too high at the camera: lower the camera's mic level by about %d dB.", by)
	case VeryLittle:
		a.Severity, a.Text = Info, "Very little comes in: speak, or turn the interface's preamp up."
	case Listening:
		a.Severity, a.Text = Info, "Listening: speak as you will on camera."
	case RaisePreamp:
		a.ByDB, a.Text = by, fmt.Sprintf("Too quiet: turn the interface's preamp up by about %d dB.", by)
	case RaiseGain:
		a.ByDB, a.Text = by, fmt.Sprintf("Too quiet at the camera: raise Gain here by about %d dB.", by)
	case CameraInputLow:
		a.ByDB, a.Text = by, fmt.Sprintf("Our output is full: raise the camera's mic level by about %d dB.", by)
	case SafeToRoll:
		a.Severity, a.Text = Good, "Speech sits in the target window: safe to roll."
	}
	return a
}

// at gives the advice with another severity.
func (a Advice) at(s Severity) Advice {
	a.Severity = s
	return a
}
