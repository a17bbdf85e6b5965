package strips

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"rollready/dsp/chain"
)

// Max is the most strips there are.
const Max = 4

// MaxName is the most letters of a person's name.
const MaxName = 12

// Strip is what a person can set on one microphone. A plain value; the zero
// Strip passes bits unchanged.
type Strip struct {
	Name     string         // who is heard, "" if nobody said
	Chain    chain.Settings // without its Limit: see Settings.Limit
	Inverted bool           // polarity
	Muted    bool
}

// Settings is everything a person can set on the strips. A plain value. The
// zero Settings are plain and linked, as a stereo microphone wants it.
type Settings struct {
	Count    int // of the strips in use, 1 … Max; 0: as many as there are channels
	Strips   [Max]Strip
	Unlinked bool        // each strip has controls of its own: see Link
	Limit    chain.Limit // of the camera feed and the headphones
	Route    Layout      // to the camera; "": what suits the number of strips
	Ears     Layout      // to the headphones; "": as to the camera
	Solo     int         // the strip, from 1, that alone is heard in the headphones; 0: none
}

// Of gives linked strips that all have one chain.
func Of(c chain.Settings) (s Settings) {
	s.Set(0, c)
	return s
}

// Fit gives the settings as they are with so many strips in use, 0: as many as
// there are channels.
func (s Settings) Fit(count int) Settings {
	if s.Count = count; s.Solo > len(s.InUse()) {
		s.Solo = 0
	}
	return s
}

// InUse gives the strips in use; where that is not known, all.
func (s *Settings) InUse() []Strip {
	if s.Count == 0 {
		return s.Strips[:]
	}
	return s.Strips[:max(0, min(s.Count, Max))]
}

// Chain gives the controls of a strip, from 0, with the limiter of all.
func (s *Settings) Chain(strip int) chain.Settings {
	c := s.Strips[strip].Chain
	c.Limit = s.Limit
	return c
}

// Chains gives those of the strips in use.
func (s *Settings) Chains() (all []chain.Settings) {
	for i := range s.InUse() {
		all = append(all, s.Chain(i))
	}
	return all
}

// Called gives the name of a strip, from 0, for a sentence: its own, or its number.
func (s *Settings) Called(strip int) string {
	if strip >= 0 && strip < Max && s.Strips[strip].Name != "" {
		return s.Strips[strip].Name
	}
	return fmt.Sprintf("microphone %d", strip+1)
}

// Parted tells that each strip in use is a person's own: each has controls of
// its own, or at least two are named.
func (s *Settings) Parted() bool {
	named := 0
	for _, strip := range s.InUse() {
		if strip.Name != "" {
			named++
		}
	}
	return len(s.InUse()) > 1 && (s.Unlinked || named > 1)
}

// Names gives the strips' names.
func (s *Settings) Names() (names [Max]string) {
	for i, strip := range s.Strips {
		names[i] = strip.Name
	}
	return names
}

// Find gives a strip, from 0, by its name or its number.
func (s *Settings) Find(who string) (strip int, err error) {
	who = strings.TrimSpace(who)
	for i, strip := range s.Strips {
		if who != "" && (strip.Name == who || strconv.Itoa(i+1) == who) {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%q is no microphone: give its number, 1 to %d, or its name", who, Max)
}

// Sent gives the settings without what only the headphones and the eye get.
func (s Settings) Sent() Settings {
	s.Solo, s.Ears = 0, ""
	for i := range s.Strips {
		s.Strips[i].Name = ""
	}
	return s
}

// Flat tells that every bit passes each strip unchanged.
func (s *Settings) Flat() bool {
	for i, strip := range s.InUse() {
		if c := s.Chain(i); !c.Flat() || strip.Inverted || strip.Muted {
			return false
		}
	}
	return true
}

// AllMuted tells that no strip in use is sent anywhere.
func (s *Settings) AllMuted() bool {
	for i, strip := range s.InUse() {
		if !strip.Muted && s.Layout().sends(i) != (sends{}) {
			return false
		}
	}
	return true
}

// Check tells what is wrong with the settings, in words for the user.
func (s *Settings) Check() error {
	if s.Count < 0 || s.Count > Max {
		return fmt.Errorf("%d microphones: choose 1 to %d", s.Count, Max)
	}
	err := chain.Settings{Limit: s.Limit}.Check()
	for i, strip := range s.InUse() {
		if wrong := strip.Chain.Unlimited().Check(); wrong != nil {
			if s.Unlinked {
				wrong = fmt.Errorf("%s: %w", s.Called(i), wrong)
			}
			err = errors.Join(err, wrong)
			if !s.Unlinked {
				break
			}
		}
	}
	for _, l := range [...]Layout{s.Route, s.Ears} {
		if l != "" {
			_, wrong := ParseLayout(string(l))
			err = errors.Join(err, wrong)
		}
	}
	if s.Solo < 0 || s.Solo > len(s.InUse()) {
		err = errors.Join(err, fmt.Errorf("solo of microphone %d: there are %d", s.Solo, len(s.InUse())))
	}
	return err
}

// Link gives all strips the controls of one, from 0, and tells what that
// changes, in words, one line per strip in use that changes; names stay.
func (s *Settings) Link(like int) (changed []string) {
	s.Unlinked = false
	for i := range s.Strips {
		was, to := s.Strips[i], s.Strips[like]
		to.Name = was.Name
		if i < len(s.InUse()) && to != was {
			changed = append(changed, fmt.Sprintf("%s is now set like %s", s.Called(i), s.Called(like)))
		}
		s.Strips[i] = to
	}
	return changed
}

// Set changes the controls of one strip, or of all while they are linked, and
// the limiter of all.
func (s *Settings) Set(strip int, c chain.Settings) {
	s.Limit = c.Limit
	for i := range s.Strips {
		if !s.Unlinked || i == strip {
			s.Strips[i].Chain = c.Unlimited()
		}
	}
}

// ParseNames reads names by commas.
func ParseNames(text string) (names []string, err error) {
	list := strings.Split(text, ",")
	if len(list) > Max {
		return nil, fmt.Errorf("%d names: there are %d microphones at most", len(list), Max)
	}
	for _, name := range list {
		name = strings.TrimSpace(name)
		if err := CheckName(name); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, nil
}
