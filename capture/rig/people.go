package rig

import (
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/strips"
	"rollready/dsp/verdict"
)

// People are those who speak into the strips that are heard, each into one of
// their own; nil where they do not.
func People(s strips.Settings, heard strips.Channels) (all []verdict.Person) {
	s = s.Fit(heard.Count)
	if heard.Count == 0 || !s.Parted() {
		return nil
	}
	for i, strip := range s.InUse() {
		all = append(all, verdict.Person{Name: strip.Name, Strip: i + 1, Input: heard.Of[i], Chain: s.Chain(i), Inverted: strip.Inverted, Muted: strip.Muted})
	}
	return all
}

// Turns are the people whom a check asks to speak in turn: those who are not
// muted; nil: it takes what comes for one voice, as of linked strips it can't set
// each by itself.
func (s *State) Turns() (asked []verdict.Person) {
	if !s.Settings.Strips.Unlinked {
		return nil
	}
	for _, p := range People(s.Settings.Strips, s.Status.Picked) {
		if !p.Muted {
			asked = append(asked, p)
		}
	}
	return asked
}

// noneSent tells that every microphone that is heard is muted here.
func (s *State) noneSent() bool {
	set := s.Settings.Strips.Fit(s.Status.Picked.Count)
	return set.AllMuted()
}

// named lets findings about one channel name who speaks into it.
func (s *State) named(list []verdict.Finding) {
	for i := range list {
		list[i] = s.withName(list[i])
	}
}

func (s *State) withName(f verdict.Finding) verdict.Finding {
	c := f.Channel - 1
	if c < 0 || c >= strips.Max || f.Name != "" || s.Settings.Strips.Strips[c].Name == "" {
		return f
	}
	return f.Of(verdict.Person{Name: s.Settings.Strips.Strips[c].Name, Strip: f.Channel, Input: s.Status.Picked.Of[c]})
}

// BetweenWords tell in a sentence how two people's microphones compare, and what
// to turn; what is not known yet is said.
func (s *State) BetweenWords() string {
	set, b := &s.Settings.Strips, s.Reading.Between
	one, two := set.Called(0), set.Called(1)
	lu, known := b.ApartLU()
	switch {
	case s.Status.Picked.Count < 2 || !set.Unlinked:
		return "Nothing to compare: two microphones with controls of their own are needed (k)"
	case !known:
		return "Not known yet: let each speak alone for some seconds"
	}
	lu += set.Strips[0].Chain.GainDB - set.Strips[1].Chain.GainDB
	text := one + " and " + two + " equally loud"
	if math.Round(math.Abs(lu)) >= 1 {
		louder, softer := one, two
		if lu < 0 {
			louder, softer = two, one
		}
		text = figure.Sprintf("%s %.0f dB louder: turn %s up", louder, math.Abs(lu), softer)
	}
	worst, dip := math.Inf(-1), 0.0
	for who, v := range b.Voice {
		worst = max(worst, v.SpillDB+s.GainBetween(who))
		if comb, ok := v.Comb(s.GainBetween(who)); ok {
			dip = min(dip, comb.DipDB)
		}
	}
	text += figure.Sprintf("; spill %.0f dB", worst)
	if dip < 0 {
		text += figure.Sprintf("; summed: dips %.1f dB", dip)
	}
	if b.Voice[0].Placed && b.Voice[1].Placed && b.Voice[0].Inverted && b.Voice[1].Inverted && set.Strips[0].Inverted == set.Strips[1].Inverted {
		text = "Opposite polarity: turn " + two + "'s (p). " + text
	}
	return text
}
