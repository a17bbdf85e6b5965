package verdict

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"rollready/dsp/chain"
)

// Person is who speaks into a microphone of their own, and what is set there.
type Person struct {
	Name     string // "" if nobody said
	Strip    int    // the microphone's, from 1
	Input    int    // channel of the interface that it is plugged into, from 1; 0: not one
	Chain    chain.Settings
	Inverted bool // polarity
	Muted    bool // not to be judged
}

// Called is the person in a sentence: by name, or by the microphone's number.
func (p Person) Called() string { return or(p.Name, "microphone "+strconv.Itoa(p.Strip)) }

// mic is the person's microphone in a sentence.
func (p Person) mic() string {
	if p.Name == "" {
		return p.Called()
	}
	return p.Name + "'s mic"
}

// preamp is the knob at the interface.
func (p Person) preamp() string {
	if p.Input == 0 {
		return "the preamp"
	}
	return "preamp " + strconv.Itoa(p.Input)
}

// lineCells is how long a line may be.
const lineCells = 76

// knobs are what a person's findings turn, as findings about one microphone call
// it, and as they are called where there are several.
func (p Person) knobs() *strings.Replacer {
	channel, gain := On(p.Strip).list(), p.Called()+"'s gain"
	if p.Name == "" {
		gain = "the gain of " + p.Called()
	}
	return strings.NewReplacer(capital(channel), capital(p.mic()), channel, p.mic(), "the other channel", "the other microphone",
		"the interface's preamp", p.preamp(), "the preamp", p.preamp(), "the gain at the interface", p.preamp(), " at the interface", " at "+p.preamp(),
		"the output gain", gain, "the gain here", gain, "Gain here", gain)
}

// Of gives a finding about one microphone as one about the person who speaks
// into it: named, with the knobs that are theirs.
func (f Finding) Of(p Person) Finding {
	f.Channel, f.Channels, f.Name = p.Strip, nil, p.Name
	knobs := p.knobs()
	line := knobs.Replace(f.Text())
	if _, do, both := strings.Cut(line, ": "); both && f.levelled() {
		line = do
	}
	f.Message, f.Action, f.Line = p.named(knobs.Replace(f.Message)), knobs.Replace(f.Action), p.named(line)
	if _, do, both := strings.Cut(line, ": "); both && utf8.RuneCountInString(f.Line) > lineCells {
		f.Line = p.named(do)
	}
	return f
}

// levelled tells of findings in which what to do says it all.
func (f Finding) levelled() bool { return f.Code == TooQuiet || f.Code == TooHot || f.Code == Speak }

// named begins a sentence with the person, unless it names their microphone.
func (p Person) named(sentence string) string {
	if sentence == "" || strings.Contains(strings.ToLower(sentence), strings.ToLower(p.mic())) {
		return sentence
	}
	return p.Called() + ": " + strings.ToLower(sentence[:1]) + sentence[1:]
}

// say makes a finding about the person.
func (p Person) say(c Code, s Severity, at Place, message, action, line string) Finding {
	f := say(c, s, at, On(p.Strip), message, action, line)
	f.Name = p.Name
	return f
}

// LetSpeak says that somebody was not heard yet, or not for long, while others
// were: a microphone that nobody speaks into may be dead or not.
func LetSpeak(p Person) Finding {
	ask := "let " + p.Name + " speak"
	if p.Name == "" {
		ask = "let somebody speak into it"
	}
	return p.say(Speak, Info, OnSet, "No voice in "+p.mic()+" yet.",
		capital(ask)+" alone, as on camera; if that was so, check microphone, cable and channel.", "No voice in "+p.mic()+" yet: "+ask+".")
}

// DeadMic says that somebody's microphone delivers nothing.
func DeadMic(p Person) Finding {
	return p.say(DeadChannel, Stop, OnSet, "Nothing comes from "+p.mic()+", not even the room.",
		"Check its power and mute switch, its cable, phantom power and the channel chosen.", "Nothing comes from "+p.mic()+": check its power, cable and channel.")
}

// Unheard says that somebody spoke and the own microphone carried nothing of it.
func Unheard(p Person) Finding {
	f := DeadMic(p)
	f.Message = capital(p.mic()) + " carries no voice, though " + p.spoke() + "."
	f.Line = capital(p.mic()) + " carries no voice: check its cable and power."
	return f
}

func (p Person) spoke() string {
	if p.Name == "" {
		return "somebody spoke"
	}
	return p.Name + " spoke"
}

// OnlyLeaks says that somebody's microphone has nothing but what leaks into it
// from another's cable or channel, so far under that voice.
func OnlyLeaks(p, from Person, underDB float64) Finding {
	f := DeadMic(p)
	f.Code = Leaks
	f.Message = fmt.Sprintf("%s carries only crosstalk of %s, %s under it.", capital(p.mic()), from.mic(), decibels(underDB))
	f.Line = capital(p.mic()) + " carries only crosstalk: check cable and microphone."
	return f
}

// Exchanged says that two people spoke into one another's microphones: each is
// the louder in the one that is named after the other.
func Exchanged(one, two Person) Finding {
	f := say(Swapped, Stop, Here, On(one.Strip, two.Strip),
		fmt.Sprintf("The microphones are swapped: %s speaks into %s, %s into %s.", one.Called(), two.mic(), two.Called(), one.mic()),
		"Exchange the two names, or the plugs; what follows is meant for the microphone that each wears.",
		fmt.Sprintf("Swapped: %s speaks into %s: exchange the names.", one.Called(), two.mic()))
	f.Name = one.Name
	return f
}

// Opposite says that two people's microphones have opposite polarity: which of
// them is wrong nobody can hear, so the second is turned.
func Opposite(p, to Person) Finding {
	return p.say(PolarityInverted, Caution, Here,
		fmt.Sprintf("%s has the opposite polarity of %s: mixed, the voices get thin.", capital(p.mic()), to.mic()),
		fmt.Sprintf("Invert %s here (p in the Monitor, --invert), or at the interface.", p.mic()),
		capital(p.mic())+" has opposite polarity: invert it (p).")
}

// Overheard says that somebody's microphone hears another person nearly as loud:
// so far under the own voice.
func Overheard(p, other Person, underDB float64) Finding {
	message := fmt.Sprintf("%s hears %s only %s under %s.", capital(p.mic()), other.Called(), decibels(underDB), p.Called())
	if nothing(underDB) || underDB < 0 {
		message = fmt.Sprintf("%s hears %s as loud as %s.", capital(p.mic()), other.Called(), p.Called())
	}
	return p.say(Spill, Caution, OnSet, message,
		fmt.Sprintf("Bring %s closer to the mouth, or the two further apart; mute who does not speak.", p.mic()),
		fmt.Sprintf("%s hears too much of %s: bring it closer to the mouth.", capital(p.mic()), other.Called()))
}

// Alike says that two people's microphones hear everybody about as loud.
func Alike(one, two Person) Finding {
	return say(Spill, Caution, OnSet, On(one.Strip, two.Strip),
		fmt.Sprintf("%s and %s hear everybody about as loud.", capital(one.mic()), two.mic()),
		"Bring each closer to its own mouth, or the two further apart.",
		fmt.Sprintf("%s and %s hear the same: each to its own mouth.", capital(one.mic()), two.mic()))
}
