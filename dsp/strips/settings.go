package strips

import (
	"errors"
	"fmt"
	"math"

	"rollready/dsp/chain"
)

// Max is the most strips there are.
const Max = 4

// Strip is what a person can set on one microphone. A plain value; the zero
// Strip passes bits unchanged, to nowhere.
type Strip struct {
	Name     string         // who is heard, "" if nobody said
	Chain    chain.Settings // its Limit is not used: see Settings.Limit
	Inverted bool           // polarity
	Muted    bool
	Camera   Sends
	Phones   Sends
}

// Sends are the levels at which a strip goes to the left and right channel.
type Sends [2]Send

// Send is a level in dB; the zero Send sends nothing.
type Send struct {
	On bool
	DB float64
}

// Settings is everything a person can set on the strips. A plain value.
type Settings struct {
	Count  int // of the strips in use, 1 … Max
	Strips [Max]Strip
	Linked bool        // one set of controls for all: see Link
	Limit  chain.Limit // of the camera feed
	Apart  bool        // each channel of the feed is limited on its own
	Solo   int         // the strip, from 1, that alone is heard in the headphones; 0: none
}

// InUse gives the strips in use.
func (s *Settings) InUse() []Strip { return s.Strips[:max(0, min(s.Count, Max))] }

// Called gives the name of a strip, from 0, for a sentence: its own, or its number.
func (s *Settings) Called(strip int) string {
	if strip >= 0 && strip < Max && s.Strips[strip].Name != "" {
		return s.Strips[strip].Name
	}
	return fmt.Sprintf("microphone %d", strip+1)
}

// Check tells what is wrong with the settings, in words for the user.
func (s *Settings) Check() error {
	if s.Count < 1 || s.Count > Max {
		return fmt.Errorf("%d microphones: choose 1 to %d", s.Count, Max)
	}
	err := chain.Settings{Limit: s.Limit}.Check()
	for i, strip := range s.InUse() {
		if wrong := strip.check(); wrong != nil {
			err = errors.Join(err, fmt.Errorf("%s: %w", s.Called(i), wrong))
		}
	}
	if s.Solo < 0 || s.Solo > s.Count {
		err = errors.Join(err, fmt.Errorf("solo of microphone %d: there are %d", s.Solo, s.Count))
	}
	return err
}

func (s *Strip) check() error {
	for _, sends := range [...]Sends{s.Camera, s.Phones} {
		for _, send := range sends {
			if math.IsNaN(send.DB) || send.DB < chain.MinGainDB || send.DB > 0 {
				return fmt.Errorf("sent at %g dB: choose %g to 0 dB", send.DB, chain.MinGainDB)
			}
		}
	}
	plain := s.Chain
	plain.Limit = chain.Limit{}
	return plain.Check()
}

// Link gives all strips the controls of one, from 0, and tells what that
// changes, in words, one line per strip that changes; names and sends stay.
func (s *Settings) Link(like int) (changed []string) {
	s.Linked = true
	from := s.Strips[like]
	for i := range s.InUse() {
		to := &s.Strips[i]
		if to.Chain != from.Chain || to.Inverted != from.Inverted || to.Muted != from.Muted {
			changed = append(changed, fmt.Sprintf("%s is now set like %s", s.Called(i), s.Called(like)))
		}
		to.Chain, to.Inverted, to.Muted = from.Chain, from.Inverted, from.Muted
	}
	return changed
}

// Set changes the chain of one strip, or of all while they are linked.
func (s *Settings) Set(strip int, c chain.Settings) {
	for i := range s.InUse() {
		if s.Linked || i == strip {
			s.Strips[i].Chain = c
		}
	}
}
