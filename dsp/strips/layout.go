package strips

import "fmt"

// Layout names a ready way of sending strips to a camera of two channels.
type Layout string

// The layouts. Custom is whatever else somebody made.
const (
	Together Layout = "together" // everybody on both channels
	Apart    Layout = "apart"    // one person per channel: odd strips left, even ones right
	Safety   Layout = "safety"   // everybody on both channels, the second lower: what overloads the first is whole there
	Custom   Layout = "custom"
)

// SafetyDB is how much lower the second channel of the layout Safety is
// (common practice, no source).
const SafetyDB = -10.0

// Layouts lists the ready ones.
var layouts = [...]Layout{Together, Apart, Safety}

// ParseLayout reads the name of a ready layout.
func ParseLayout(name string) (Layout, error) {
	for _, l := range layouts {
		if string(l) == name {
			return l, nil
		}
	}
	return "", fmt.Errorf("route %q: choose %s, %s or %s", name, Together, Apart, Safety)
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
	return "as set by hand"
}

func (l Layout) sends(strip int) Sends {
	full := Send{On: true}
	switch l {
	case Apart:
		var s Sends
		s[strip%2] = full
		return s
	case Safety:
		return Sends{full, {On: true, DB: SafetyDB}}
	}
	return Sends{full, full}
}

// Route sends all strips by a layout: to the camera so, and to both ears of the
// headphones what the camera gets, without the lower safety.
func (s *Settings) Route(l Layout) {
	ears := l
	if l == Safety {
		ears = Together
	}
	for i := range s.Strips {
		s.Strips[i].Camera, s.Strips[i].Phones = l.sends(i), ears.sends(i)
	}
}

// Layout tells which ready layout the strips in use are sent to the camera by.
// A single strip on the left only is no layout of one person per channel.
func (s *Settings) Layout() Layout {
	for _, l := range layouts {
		if l == Apart && s.Count == 1 {
			continue
		}
		fits := true
		for i, strip := range s.InUse() {
			fits = fits && strip.Camera == l.sends(i)
		}
		if fits {
			return l
		}
	}
	return Custom
}

// For gives plain settings for so many strips: all linked, as a stereo
// microphone wants it, one on each channel; a single one on both.
func For(count int) Settings {
	s := Settings{Count: count, Linked: true}
	if s.Route(Together); count > 1 {
		s.Route(Apart)
	}
	return s
}
