package finding

import (
	"fmt"
	"math"
	"strings"

	"rollready/dsp/figure"
)

// Every function here words one finding. Channels count from 1; 0 is the
// whole signal. Levels are rounded: a sentence is no meter.

// NothingComesIn says that the input is silent.
func NothingComesIn() Finding {
	return Finding{Silence, Stop, 0, "Nothing comes in.",
		"Check microphone, its battery and mute switch, cable, phantom power and the input chosen."}
}

// Clipped says that the interface's converter ran out of range so many times.
func Clipped(channel int, runs int64) Finding {
	return Finding{InputClipped, Stop, channel,
		fmt.Sprintf("The input%s overloads: full scale was hit %s.", of(channel), times(runs)),
		fmt.Sprintf("Turn down %s or more at the interface; nothing here mends it.", decibels(inputTarget))}
}

// FlatTops says that the signal was clipped before it reached the interface.
func FlatTops(channel int, tops int64) Finding {
	return Finding{FlatTopped, Stop, channel,
		fmt.Sprintf("The peaks%s are cut flat below full scale %s: something before the interface overloads.", of(channel), times(tops)),
		"Lower the level at the transmitter, preamplifier or pad, or move the microphone away from the mouth."}
}

// FramesLost says that the sound has so many holes.
func FramesLost(holes int64) Finding {
	return Finding{Dropouts, Caution, 0, fmt.Sprintf("The sound broke off %s.", times(holes)),
		"Check the radio link and the cable, and close other programs."}
}

// NoNumbers says that so many samples of a recording are NaN or infinite.
func NoNumbers(samples int64) Finding {
	message := fmt.Sprintf("%d samples were not finite numbers and count as silence.", samples)
	if samples == 1 {
		message = "1 sample was not a finite number and counts as silence."
	}
	return Finding{NotFinite, Caution, 0, message,
		"Write the file again from where it comes from, or make it clean with rollready process: other programs may crack or fall silent there."}
}

// NobodySpeaks says that no voice was found.
func NobodySpeaks() Finding {
	return Finding{NoVoice, Stop, 0, "No voice stands out from the room.",
		"Speak as you will speak, into the right microphone, and measure the voice again."}
}

// OnlyRoom says that a recording holds no voice.
func OnlyRoom() Finding {
	return Finding{NoVoice, Caution, 0, "No voice stands out from the room.",
		"That is right for room tone or a test tone; if somebody spoke, it was not into this microphone."}
}

// RecordedQuiet says that a voice was recorded far too low.
func RecordedQuiet(peakDBTP float64) Finding {
	return Finding{TooQuiet, Caution, 0, fmt.Sprintf("The voice only peaks at %s dBTP.", whole(peakDBTP)),
		"Raising it later raises its noise as well: next time turn the gain up, or go closer to the microphone."}
}

// HumAlone says that mains hum was found where there is no voice.
func HumAlone(channel, mainsHz int, levelDBFS float64) Finding {
	f := MainsHum(Caution, channel, mainsHz, levelDBFS, 0)
	f.Message = humMessage(channel, mainsHz, levelDBFS) + "."
	return f
}

// Inverted says that one channel has the wrong polarity.
func Inverted() Finding {
	return Finding{PolarityInverted, Stop, 0, "The two channels cancel each other: one has inverted polarity.",
		"Invert one channel at the interface or change its cable, or use only one channel."}
}

// Cancels says that much is lost in mono.
func Cancels(lossDB float64) Finding {
	return Finding{PolarityInverted, Caution, 0, fmt.Sprintf("Summed to mono the channels lose %s.", decibels(lossDB)),
		"Use only one of the two microphones, or change the distance between them."}
}

// Dead says that a channel carries no voice while the other does.
func Dead(channel int) Finding {
	return Finding{DeadChannel, Caution, channel, fmt.Sprintf("Channel %d carries no voice.", channel),
		fmt.Sprintf("Check its microphone and cable, or use only channel %d.", 3-channel)}
}

// InterfaceHot says that the input runs close to its limit.
func InterfaceHot(channel int, peakDBFS float64) Finding {
	return Finding{TooHot, Caution, channel,
		fmt.Sprintf("Speech peaks reach %s dBFS at the input%s: one laugh and it overloads.", whole(peakDBFS), of(channel)),
		fmt.Sprintf("Turn the gain at the interface down by about %s.", decibels(peakDBFS+inputTarget))}
}

// inputTarget is where speech peaks leave an interface room to spare: −12 dBFS
// (common practice, no source). Written as headroom.
const inputTarget = 12

// InterfaceQuiet says that the input is far too low.
func InterfaceQuiet(channel int, peakDBFS float64) Finding {
	return Finding{TooQuiet, Caution, channel,
		fmt.Sprintf("Speech peaks only reach %s dBFS at the input%s.", whole(peakDBFS), of(channel)),
		fmt.Sprintf("Turn the gain at the interface up by about %s, or go closer to the microphone.", decibels(-inputTarget-peakDBFS))}
}

// CameraOver says that the camera will clip at the present gain.
func CameraOver(headroomDB, gainDB float64) Finding {
	return Finding{TooHot, Stop, 0, overload(headroomDB), fmt.Sprintf("Set the output gain to %s.", gain(gainDB))}
}

func overload(headroomDB float64) string {
	if headroomDB <= 0 {
		return fmt.Sprintf("Loud moments overload the camera by %s.", decibels(-headroomDB))
	}
	return fmt.Sprintf("Loud moments come within %s of the camera's clip point.", decibels(headroomDB))
}

// CameraHot says that speech peaks sit above the camera's target window.
func CameraHot(aboveDB, gainDB float64) Finding {
	return Finding{TooHot, Caution, 0, fmt.Sprintf("Speech peaks sit %s above the camera's target window.", decibels(aboveDB)),
		fmt.Sprintf("Set the output gain to %s.", gain(gainDB))}
}

// CameraQuiet says that speech peaks sit under the camera's target window, and
// whether the gain alone can bring them into it.
func CameraQuiet(severity Severity, belowDB, gainDB float64, gainSuffices bool) Finding {
	action := fmt.Sprintf("Set the output gain to %s", gain(gainDB))
	if !gainSuffices {
		action += " and turn the camera's mic level up"
	}
	return Finding{TooQuiet, severity, 0, fmt.Sprintf("Speech peaks sit %s under the camera's target window.", decibels(belowDB)), action + "."}
}

// Noisy says that the room is too loud for the voice.
func Noisy(severity Severity, snrDB float64) Finding {
	return Finding{NoiseHigh, severity, 0, fmt.Sprintf("The voice stands only %s above the room.", decibels(max(0, snrDB))),
		"Bring the microphone closer to the mouth, or find and stop what makes the noise."}
}

// MainsHum says that mains hum was found, so far under the voice.
func MainsHum(severity Severity, channel, mainsHz int, levelDBFS, underDB float64) Finding {
	return Finding{Hum, severity, channel,
		fmt.Sprintf("%s, %s.", humMessage(channel, mainsHz, levelDBFS), under(underDB)),
		"Run the laptop on battery, keep the cable away from power leads and supplies, use a balanced cable."}
}

func humMessage(channel, mainsHz int, levelDBFS float64) string {
	return fmt.Sprintf("Mains hum of %d Hz%s at %s dBFS", mainsHz, strings.Replace(of(channel), "of", "on", 1), whole(levelDBFS))
}

// LowRumble says that steady low noise lies so far under the voice.
func LowRumble(underDB, cutHz float64) Finding {
	return Finding{Rumble, Caution, 0, fmt.Sprintf("Low rumble lies %s.", under(underDB)), highPass(cutHz, "take the microphone off what shakes")}
}

// Wind says that wind or moved air lies so far under the voice.
func Wind(underDB, cutHz float64) Finding {
	return Finding{Rumble, Caution, 0, fmt.Sprintf("Wind or moved air rumbles in gusts, %s.", under(underDB)),
		highPass(cutHz, "put a wind shield on the microphone")}
}

// Thumps says that plosives or knocks hit the microphone.
func Thumps(cutHz float64) Finding {
	return Finding{Rumble, Caution, 0, "Breath thumps or knocks hit the microphone.",
		highPass(cutHz, "move the microphone out of the line of breath")}
}

func highPass(cutHz float64, or string) string {
	if cutHz == 0 {
		return strings.ToUpper(or[:1]) + or[1:] + "."
	}
	return fmt.Sprintf("Set the high-pass to %.0f Hz, and %s.", cutHz, or)
}

// Offset says that a channel's zero line is off.
func Offset(channel int, dc float64) Finding {
	return Finding{DCOffset, Caution, channel,
		fmt.Sprintf("The zero line%s is off by %.1f %% of full scale.", of(channel), 100*math.Abs(dc)),
		"Switch the high-pass on; if it stays, have the interface or the cable checked."}
}

// of names the channel that something belongs to.
func of(channel int) string {
	if channel == 0 {
		return ""
	}
	return fmt.Sprintf(" of channel %d", channel)
}

func times(n int64) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func under(db float64) string {
	if db < 0 {
		return decibels(-db) + " above the voice"
	}
	return decibels(db) + " under the voice"
}

// whole, decibels and gain write a level, a difference and a gain.
func whole(dBFS float64) string { return figure.Text(dBFS, 0) }

func decibels(db float64) string { return figure.Text(db, 0) + " dB" }

func gain(db float64) string { return figure.Sprintf("%+.1f dB", db) }
