package strips

import (
	"fmt"
	"slices"
	"strings"
)

// Layout is a way of sending strips to two channels: a ready one, or a place
// for each strip, as "left,both". The zero Layout is what suits the number of
// strips: a single one goes to both channels, of several one to each.
type Layout string

// The ready layouts.
const (
	Together Layout = "together" // everybody on both channels
	Apart    Layout = "apart"    // one person per channel: odd strips left, even ones right
	Safety   Layout = "safety"   // everybody on both channels, the second lower: what overloads the first is whole there
)

// SafetyDB is how much lower the second channel of the layout Safety is
// (common practice, no source).
const SafetyDB = -10.0

// Layouts lists the ready ones.
var Layouts = [...]Layout{Together, Apart, Safety}

// send is a level in dB; the zero send sends nothing.
type send struct {
	on bool
	dB float64
}

// sends are the levels at which a strip goes to the left and right channel.
type sends [2]send

var full = send{on: true}

// places are where a single strip may go.
var places = map[string]sends{"left": {full, {}}, "right": {{}, full}, "both": {full, full}, "none": {}}

// ParseLayout reads a ready layout, or a place for each strip, by commas.
func ParseLayout(text string) (Layout, error) {
	l := Layout(strings.ReplaceAll(text, " ", ""))
	if slices.Contains(Layouts[:], l) {
		return l, nil
	}
	list := strings.Split(string(l), ",")
	for _, place := range list {
		if _, is := places[place]; !is || len(list) > Max {
			return "", fmt.Errorf("%q: choose %s, %s or %s, or for each microphone left, right, both or none", text, Together, Apart, Safety)
		}
	}
	if !slices.ContainsFunc(list, func(place string) bool { return place != "none" }) {
		return "", fmt.Errorf("%q sends no microphone: give one of them left, right or both", text)
	}
	return l, nil
}

// Does tells in words where a layout sends whom.
func (l Layout) Does() string {
	switch l {
	case Together:
		return "everybody on both channels"
	case Apart:
		return "one person per channel"
	case Safety:
		return fmt.Sprintf("everybody on both channels, the right one %g dB lower", -SafetyDB)
	}
	return strings.ReplaceAll(string(l), ",", ", ")
}

// sends gives where a strip goes. Places that are not given repeat.
func (l Layout) sends(strip int) sends {
	switch l {
	case Together:
		return sends{full, full}
	case Apart:
		var s sends
		s[strip%2] = full
		return s
	case Safety:
		return sends{full, {on: true, dB: SafetyDB}}
	}
	list := strings.Split(string(l), ",")
	return places[list[strip%len(list)]]
}

// Layout is how the strips in use go to the camera.
func (s *Settings) Layout() Layout {
	switch {
	case s.Route != "":
		return s.Route
	case s.Count == 1:
		return Together
	}
	return Apart
}

// EarLayout is how they go to the headphones: without another choice as to the
// camera, but for the lower safety.
func (s *Settings) EarLayout() Layout {
	switch l := s.Layout(); {
	case s.Ears != "":
		return s.Ears
	case l == Safety:
		return Together
	default:
		return l
	}
}

// Feed tells how many channels the camera is fed with that are not the same: 1
// or 2.
func (s *Settings) Feed() int {
	for i := range s.InUse() {
		if to := s.Layout().sends(i); to[0] != to[1] {
			return 2
		}
	}
	return 1
}

// Direct tells that each strip has a channel of the camera feed of its own, or
// the only one has both: what leaves the strips is what the camera gets.
func (s *Settings) Direct() bool {
	l := s.Layout()
	switch s.Count {
	case 1:
		return l.sends(0) == Together.sends(0)
	case 2:
		return l.sends(0) == Apart.sends(0) && l.sends(1) == Apart.sends(1)
	}
	return false
}
