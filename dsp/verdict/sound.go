package verdict

import (
	"fmt"
	"math"
	"strings"

	"rollready/dsp/figure"
)

// Every function here words one finding about the sound as it comes in.

// NothingComesIn says that the input is silent.
func NothingComesIn() Finding {
	return say(Silence, Stop, OnSet, Where{}, "Nothing comes in.",
		"Check microphone, its battery and mute switch, cable, phantom power and the input chosen.",
		"Nothing comes in: check the microphone's power, cable and channel.")
}

// Clipped says that the interface's converter ran out of range so many times.
func Clipped(w Where, runs int64) Finding {
	subject := "The input" + w.of() + " overloads"
	if w.Role != "" {
		subject = w.subject("", "overload")
	}
	return say(InputClipped, Stop, Interface, w, subject+": full scale was hit "+times(runs)+".",
		fmt.Sprintf("Turn down %s or more at the interface; nothing here mends it.", decibels(-InputTargetDBTP)),
		w.subject("the input", "overload")+": turn the interface's preamp down.").turn(InputTargetDBTP)
}

// FlatTops says that the signal was clipped before it reached the interface.
func FlatTops(w Where, tops int64) Finding {
	return say(FlatTopped, Stop, OnSet, w,
		fmt.Sprintf("The peaks%s are cut flat below full scale %s: something before the interface overloads.", w.of(), times(tops)),
		"Lower the level at the transmitter, preamplifier or pad, or move the microphone away from the mouth.",
		w.subject("the input", "are cut off before the interface")+": turn the microphone down.")
}

// CutFlat says that the peaks stop at a ceiling below full scale: near it that
// of a converter, lower that of something before the interface.
func CutFlat(w Where, tops int64, ceilingDBFS float64) Finding {
	if ceilingDBFS < ConverterDBFS {
		return FlatTops(w, tops)
	}
	f := Clipped(w, tops)
	f.Code = FlatTopped
	at := "just under full scale"
	if ceilingDBFS < -0.05 {
		at = figure.Sprintf("%.1f dB under full scale", -ceilingDBFS)
	}
	f.Message = fmt.Sprintf("The peaks%s are cut flat %s %s: the converter overloads.", w.of(), at, times(tops))
	return f
}

// BentOver says that the peaks are bent over where it is loud: soft clipping.
func BentOver(w Where) Finding {
	return say(FlatTopped, Caution, OnSet, w,
		"The peaks"+w.of()+" are bent over where it is loud: something before the interface overloads softly.",
		"Lower the level at the transmitter, preamplifier or pad, unless this sound is meant.",
		w.subject("the input", "overload")+" softly when it is loud: turn the microphone down.")
}

// OurOverload says that what our own gain made too loud was cut off, in tracks
// that went through the chain; clean are those to take instead, "" if none are.
func OurOverload(w Where, runs int64, clean Role) Finding {
	f := say(OutputClipped, Stop, Here, w, w.subject("the output", "overload")+": full scale was hit "+times(runs)+".",
		"Lower the gain here for the next take.", "")
	if text := instead[clean]; text != "" {
		f.Action = text + " " + f.Action
	}
	return f
}

// MutedTrack says that tracks are silent because we muted them, while the raw
// ones hold sound; all tells that no other track of the role does.
func MutedTrack(w, raw Where, all bool) Finding {
	if all {
		return say(AllMuted, Stop, Here, w, w.subject("the output", "are")+" silent: muted here.",
			"Take "+raw.list()+" instead, and unmute for the next take.", "")
	}
	return say(AllMuted, Info, Here, w, w.subject("the output", "are")+" silent: muted here.", "If that was not meant, take "+raw.list()+" instead.", "")
}

var instead = map[Role]string{Raw: "The raw track is clean: take that.", Safety: "The safety track is clean: take that."}

// Instead says which track is to be taken instead of the one that a finding is
// about; "" if none.
func (f Finding) Instead() string {
	for _, text := range instead {
		if strings.HasPrefix(f.Action, text) {
			return text
		}
	}
	return ""
}

// Copied says that a channel of a recording holds the sound of another one, so
// much lower: what is to be used of it, in words, "" if nothing.
func Copied(lower, louder Where, byDB float64, use string) Finding {
	action := "Use " + louder.list() + "; the other one is there for what overloads it, and nothing does."
	if use != "" {
		action = "Use " + lower.list() + " " + use + ", raised by " + figure.Text(byDB, 1) + " dB; otherwise " + louder.list() + "."
	}
	return say(SafetyCopy, Info, OnSet, lower, lower.subject("the other channel", "are")+" a safety copy: the sound of "+louder.list()+", "+figure.Text(byDB, 1)+" dB lower.", action, "")
}

// Whole gives a finding about an overload that a lower channel has whole.
func (f Finding) Whole(lower Where) Finding {
	f.Severity, f.Action = Caution, capital(lower.list())+" has it whole: take that there. "+f.Action
	return f
}

// Broken says how often the sound broke off, and how often it cracked.
func Broken(w Where, breaks, cracks int64) Finding {
	did, does := "broke off "+times(breaks), "breaks off"
	switch {
	case breaks == 0:
		did, does = "cracked "+times(cracks), "cracks"
	case cracks > 0:
		did += " and cracked " + times(cracks)
	}
	return say(Dropouts, Caution, OnSet, w, "The sound"+w.of()+" "+did+".",
		"Check the radio link and the cable, and close other programs.",
		"The sound"+w.of()+" "+does+": check radio link and cable.")
}

// NoNumbers says that so many samples of a recording are NaN or infinite.
func NoNumbers(samples int64) Finding {
	message := fmt.Sprintf("%d samples were not finite numbers and count as silence.", samples)
	if samples == 1 {
		message = "1 sample was not a finite number and counts as silence."
	}
	return say(NotFinite, Caution, OnSet, Where{}, message,
		"Write the file again from where it comes from, or make it clean with rollready process: other programs may crack or fall silent there.",
		"Broken samples come in and are silenced: check cable and interface.")
}

// NobodySpeaks says that no voice was found.
func NobodySpeaks() Finding {
	return say(NoVoice, Stop, OnSet, Where{}, "No voice stands out from the room.",
		"Speak as you will speak, into the right microphone, and measure the voice again.", "")
}

// NotQuiet says of a voice that stands too little out of the room why it may not:
// the quiet that it was compared with was none.
func NotQuiet(severity Severity) Finding {
	return say(NoVoice, severity, OnSet, Where{}, "The quiet step held a voice or a noise that came and went: what was spoken can't be told from the room.",
		"Measure again, and let nobody speak and nothing knock until the quiet step is over.", "")
}

// OnlyRoom says that a recording holds no voice.
func OnlyRoom() Finding {
	return say(NoVoice, Caution, OnSet, Where{}, "No voice stands out from the room.",
		"That is right for room tone or a test tone; if somebody spoke, it was not into this microphone.", "")
}

// Inverted says that one channel has the wrong polarity.
func Inverted(w Where) Finding {
	return say(PolarityInverted, Stop, Interface, w, "The two channels"+w.of()+" cancel each other: one has inverted polarity.",
		"Invert one channel at the interface or change its cable, or use only one channel.",
		"The channels cancel each other: invert one, or use only one channel.")
}

// Turned says that channels have the wrong polarity against that of the voice.
func Turned(w, voice Where) Finding {
	said := w.subject("one channel", "carry") + " the same sound with inverted polarity as " + voice.list()
	return say(PolarityInverted, Stop, Interface, w, said+".",
		"Invert it at the interface or change its cable, or use only "+voice.list()+".",
		w.subject("one channel", "are")+" inverted: turn the polarity at the interface.")
}

// Cancels says that much is lost in mono.
func Cancels(w Where, lossDB float64) Finding {
	return say(PolarityInverted, Caution, OnSet, w, "Summed to mono the channels"+w.of()+" lose "+decibels(lossDB)+".",
		"Use only one of the two microphones, or change the distance between them.",
		"In mono the channels lose "+decibels(lossDB)+": use only one microphone.")
}

// Dead says that channels carry no voice while others do.
func Dead(w, others Where) Finding {
	action := "Check its microphone and cable, or use only " + others.list() + "."
	if len(w.Channels) > 1 {
		action = "Check their microphones and cables, or use only " + others.list() + "."
	}
	said := w.subject("the other channel", "carry no voice")
	return say(DeadChannel, Caution, OnSet, w, said+".", action, said+": check the cable and the microphone.")
}

// Crosstalk says that channels carry nothing but what leaks into them, so far
// under another's voice: in a cable, a plug or the interface.
func Crosstalk(w, voice Where, underDB float64) Finding {
	f := Dead(w, voice)
	f.Code = Leaks
	f.Message = w.subject("the other channel", "carry only crosstalk") + ", " + decibels(underDB) + " under the voice."
	f.Line = w.subject("the other channel", "carry only crosstalk") + ": check cable and microphone."
	return f
}

// Noisy says that the room is too loud for the voice.
func Noisy(severity Severity, snrDB float64) Finding {
	message := "The voice stands only " + decibels(snrDB) + " above the room."
	if snrDB < 0.5 {
		message = "The voice is no louder than the room."
	}
	return say(NoiseHigh, severity, OnSet, Where{}, message,
		"Bring the microphone closer to the mouth, or find and stop what makes the noise.",
		strings.TrimSuffix(message, ".")+": come closer.")
}

// RoomAtCamera judges the level of a room at the camera, A-weighted, where no
// voice was found: by how far one in the middle of the target window, with its
// peaks there, would stand above it.
func RoomAtCamera(roomDBA, middleDBFS float64) (f Finding, found bool) {
	snr := middleDBFS - SpeechPeaksDB - roomDBA
	if snr >= NoisyDB {
		return Finding{}, false
	}
	stands := "a voice in the target window would stand only " + decibels(snr) + " above it."
	if snr < 0.5 {
		stands = "a voice in the target window would be no louder."
	}
	f = Noisy(Caution, snr)
	f.Message = "The room alone reads " + whole(roomDBA) + " dBFS (A) at the camera: " + stands
	f.Line = "The room is loud at the camera, " + whole(roomDBA) + " dBFS (A): find what makes the noise."
	return f, true
}

// MainsHum says that mains hum was found, so far under the voice.
func MainsHum(severity Severity, w Where, mainsHz int, levelDBFS, underDB float64) Finding {
	f := HumAlone(w, mainsHz, levelDBFS).With(severity)
	f.Message = strings.TrimSuffix(f.Message, ".") + ", " + under(underDB) + "."
	return f
}

// phoneHz is the hum that is none: 217 Hz, as dsp/hum has it.
const phoneHz = 217

// HumAlone says that mains hum was found where there is no voice.
func HumAlone(w Where, mainsHz int, levelDBFS float64) Finding {
	if mainsHz == phoneHz {
		said := fmt.Sprintf("A telephone's radio buzzes%s at %s dBFS", w.on(), whole(levelDBFS))
		return say(Hum, Caution, OnSet, w, said+".", "Switch telephones to flight mode, or take them away from microphone and cable.",
			said+": take it away.")
	}
	said := fmt.Sprintf("Mains hum of %d Hz%s at %s dBFS", mainsHz, w.on(), whole(levelDBFS))
	return say(Hum, Caution, OnSet, w, said+".",
		"Run the laptop on battery, keep the cable away from power leads and supplies, use a balanced cable.",
		said+": check the cables.")
}

// LowRumble says that steady low noise lies so far under the voice. The high-pass
// to set is 0 where it can't help any more.
func LowRumble(underDB, cutHz float64) Finding {
	return low("Low rumble lies "+under(underDB)+".", "Low rumble", "take the microphone off what shakes", cutHz)
}

// Wind says that wind or moved air lies so far under the voice.
func Wind(underDB, cutHz float64) Finding {
	return low("Wind or moved air rumbles in gusts, "+under(underDB)+".", "Wind or moved air rumbles",
		"put a wind shield on the microphone", cutHz)
}

// Thumps says that plosives or knocks hit the microphone.
func Thumps(cutHz float64) Finding {
	return low("Breath thumps or knocks hit the microphone.", "Breath thumps or knocks",
		"move the microphone out of the line of breath", cutHz)
}

func low(message, short, or string, cutHz float64) Finding {
	f := say(Rumble, Caution, OnSet, Where{}, message, capital(or)+".", "")
	f.Line = short + ": " + or + "."
	if cutHz > 0 {
		f.Place, f.Action = Here, fmt.Sprintf("Set the high-pass to %.0f Hz, and %s.", cutHz, or)
		f.Line = fmt.Sprintf("%s: set the high-pass to %.0f Hz.", short, cutHz)
	}
	return f
}

// Offset says that the zero line of channels is off.
func Offset(w Where, dc float64) Finding {
	return say(DCOffset, Caution, Here, w, fmt.Sprintf("The zero line%s is off by %.1f %% of full scale.", w.of(), 100*math.Abs(dc)),
		"Switch the high-pass on; if it stays, have the interface or the cable checked.",
		fmt.Sprintf("The zero line%s is off by %.1f %%: switch the high-pass on.", w.of(), 100*math.Abs(dc)))
}
