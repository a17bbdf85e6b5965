package verdict

import (
	"fmt"
	"math"
	"strings"
	"time"

	"rollready/dsp/figure"
)

// Every function here words one condition of the running whole.

// Faulted says that metering has stopped because of the program's own fault.
func Faulted(cause string) Finding {
	return say(MeteringStopped, Stop, Here, Where{}, "Metering has stopped: "+sentence(cause), "Choose the input again in Setup.",
		"METERING STOPPED: choose the input again in Setup.")
}

// LostInput says that the input is away.
func LostInput(source string, away time.Duration) Finding {
	return say(InputLost, Stop, Interface, Where{}, fmt.Sprintf("%s has been away for %.0f s.", capital(or(source, "the input")), away.Seconds()),
		"Check its cable and power; it is taken up again by itself.",
		"INPUT LOST: check its cable and power. It is taken up again by itself.")
}

// AnotherInput says that another input is heard than the one last used.
func AnotherInput(now, before string) Finding {
	return say(InputChanged, Caution, Here, Where{}, fmt.Sprintf("The input is now %q, before it was %q.", now, before),
		"See whether this is the microphone you mean; else choose the input in Setup.",
		"Another input than last time: is this the microphone you mean?")
}

// MonitorAsInput says that the input is what an output plays.
func MonitorAsInput(source string) Finding {
	return say(OutputMonitor, Stop, Here, Where{}, fmt.Sprintf("The input %q is what an output plays, no microphone.", source),
		"Choose the microphone in Setup.", "The input is what an output plays: choose the microphone in Setup.")
}

// MutedInput says that the system mutes the input.
func MutedInput() Finding {
	return say(InputMuted, Stop, System, Where{}, "The system mutes this input.", "Unmute it in the system's mixer.",
		"The system mutes this input: unmute it there.")
}

// NoneSent says that every microphone is muted by us.
func NoneSent() Finding {
	return say(AllMuted, Stop, Here, Where{}, "All microphones are muted here or sent nowhere: the camera gets silence.",
		"Unmute them: x in the Monitor, or leave out --mute.", "All microphones are muted here: unmute them (x).")
}

// OnlyZeros says that a device delivers nothing but zeros, as a system does that
// keeps the microphone from programs, or a switch that mutes it; a converter that
// is merely not spoken to delivers noise. system is as Go calls it.
func OnlyZeros(system string) Finding {
	where, short := "look for a mute switch at the microphone and the interface, and for another channel", "look for a mute switch, or another channel"
	switch system {
	case "darwin":
		where = "in System Settings, Privacy & Security, Microphone, allow it the terminal, and start again; then look for a mute switch"
		short = "allow the terminal the microphone in System Settings"
	case "windows":
		where = "in Settings, Privacy & security, Microphone, let desktop apps have it, and start again; then look for a mute switch"
		short = "let desktop apps have the microphone in Settings"
	}
	return say(DigitalSilence, Stop, System, Where{}, "Nothing but zeros comes in, not even noise.", capital(where)+".",
		"Only zeros come in: "+short+".")
}

// TurnedInput says that the system turns the input up or down.
func TurnedInput(byDB float64) Finding {
	way := "up"
	if byDB < 0 {
		way = "down"
	}
	said := figure.Sprintf("The system turns this input %s by %.1f dB", way, math.Abs(byDB))
	return say(InputVolume, Caution, System, Where{}, said+".", "Set it to 0 dB in the system's mixer.", said+": set it to 0 dB there.").turn(-byDB)
}

// UnevenInput says that the system's balance for the input is turned.
func UnevenInput() Finding {
	return say(InputVolume, Caution, System, Where{}, "The system turns this input's balance.", "Set it to the middle at 0 dB in the system's mixer.",
		"The system turns this input's balance: set it to the middle at 0 dB.")
}

// NotFed says that no output is chosen for the camera.
func NotFed() Finding {
	return say(CameraNotFed, Caution, Here, Where{}, "The camera is not fed: no output is chosen for it.", "Choose the camera's output in Setup.",
		"The camera is not fed: choose its output in Setup.")
}

// LostCamera says that the camera's output is away, or that it stopped for a
// cause.
func LostCamera(output, cause string) Finding {
	message, action := capital(or(output, "the camera's output"))+" is lost.", "Check its plug; it is taken up again by itself."
	line := "The camera hears nothing: its output is lost. Check its plug."
	if cause != "" {
		message, action = "The camera's output has stopped: "+sentence(cause), "Choose it again in Setup."
		line = "The camera hears nothing: choose its output again in Setup."
	}
	return say(CameraLost, Stop, System, Where{}, message, action, line)
}

// MutedCamera says that the system mutes the camera's output.
func MutedCamera(output string) Finding {
	return say(CameraMuted, Stop, System, Where{}, "The system mutes "+or(output, "the camera's output")+".",
		"Unmute it in the system's mixer, or the camera hears nothing.",
		"The camera hears nothing: the system mutes its output. Unmute it there.")
}

// Howling says that the headphones were muted because they fed the microphone.
func Howling(cause string) Finding {
	return say(Howl, Stop, OnSet, Where{}, "Muted: "+sentence(cause), "Speaker down, then 0.",
		"MUTED: howl. Turn the speaker down, then let it be heard again (0).")
}

// LostHeadphones says that the headphones are away.
func LostHeadphones(device string) Finding {
	return say(HeadphonesLost, Info, System, Where{}, capital(or(device, "the headphones"))+" is lost: it comes back muted.", "Let it be heard again then.",
		"Headphones lost: they come back muted.")
}

// HeadphonesStopped says that the headphones stopped for a cause.
func HeadphonesStopped(cause string) Finding {
	return say(HeadphonesLost, Caution, System, Where{}, "The headphones have stopped: "+sentence(cause), "Choose them again in Setup.",
		"The headphones have stopped: choose them again in Setup.")
}

// VolumeChanged says that the camera's output is not as loud as at line-up.
func VolumeChanged(output string, nowDB, thenDB float64) Finding {
	return lineUpChanged(figure.Sprintf("%s is at %.1f dB, at line-up at %.1f dB.", capital(or(output, "the camera's output")), nowDB, thenDB),
		"Set its volume back, or line up again.",
		"The camera meter is wrong: set the output's volume back, or line up again.").turn(thenDB - nowDB)
}

// BalanceChanged says that the balance of the camera's output is not as at
// line-up.
func BalanceChanged(output string) Finding {
	return lineUpChanged("The balance of "+or(output, "the camera's output")+" is not as at line-up.", "Set it back in the system's mixer, or line up again.",
		"The camera meter is wrong: set the output's balance back, or line up again.")
}

// LineUpStale says why a line-up holds no longer, as a clause: "it was made over
// another output".
func LineUpStale(why string) Finding {
	return lineUpChanged("The line-up holds no longer: "+sentence(why), "Line up again.", "The line-up holds no longer: line up again.")
}

func lineUpChanged(message, action, line string) Finding {
	return say(LineUpChanged, Caution, System, Where{}, message, action, line)
}

// Frames says that so many frames were lost between devices.
func Frames(lost int64) Finding {
	return say(Dropouts, Caution, System, Where{}, frames(lost)+" were lost.", "Close other programs, and check the cable.",
		frames(lost)+" lost: close other programs, check the cable.")
}

// DiskSlow says that so many frames of a take became silence.
func DiskSlow(lost int64) Finding {
	return say(Lagging, Stop, System, Where{}, "The disk can't keep up: "+frames(lost)+" became silence.", "Record to another disk.",
		"The disk can't keep up: record to another disk.")
}

// Disk says how long can still be recorded.
func Disk(left time.Duration) Finding {
	room := fmt.Sprintf("The disk has room for %d min more", int(left.Minutes()))
	if left < time.Minute {
		room = "The disk has room for less than a minute"
	}
	return say(DiskLow, Caution, System, Where{}, room+".", "Free some, or record to another disk.", room+": free some, or take another disk.")
}

// Battery says how little charge is left.
func Battery(percent int) Finding {
	return say(BatteryLow, Caution, System, Where{}, fmt.Sprintf("The battery is at %d %%.", percent), "Plug the power in.",
		fmt.Sprintf("The battery is at %d %%: plug the power in.", percent))
}

// TakeBroken says why a take ended by itself.
func TakeBroken(cause string) Finding {
	return say(RecordingFailed, Stop, System, Where{}, "NOT RECORDING: "+sentence(cause), "Mend it, then roll again.",
		"NOT RECORDING: "+sentence(cause))
}

func frames(n int64) string {
	if n == 1 {
		return "1 frame"
	}
	return fmt.Sprintf("%d frames", n)
}

// or gives a name, or what to say where there is none.
func or(name, none string) string {
	if name == "" {
		return none
	}
	return name
}

// sentence ends a clause with a full stop.
func sentence(clause string) string { return strings.TrimRight(clause, ". \n") + "." }
