package strips

import (
	"fmt"
	"strings"

	"rollready/dsp/chain"
	"rollready/dsp/db"
	"rollready/dsp/filter"
)

// Asked is what a person asks of the strips in words; "" changes nothing. One
// value is for every strip; several, by commas, are for one each. An error
// begins with the name of what is wrong.
type Asked struct {
	Gain, HighPass, LowPass, Limit string
	Only
}

// Only is what says nothing of a chain.
type Only struct{ Names, Invert, Mute, Route, Ears string }

// On gives settings as asked for, checked.
func (a Asked) On(s Settings) (Settings, error) {
	for _, one := range []struct {
		name, text string
		set        func(*chain.Settings, string) error
	}{
		{"gain", a.Gain, func(c *chain.Settings, s string) (err error) { c.GainDB, err = db.Parse(s); return err }},
		{"high-pass", a.HighPass, func(c *chain.Settings, s string) (err error) { c.HighPass, err = filter.ParseCut(s); return err }},
		{"low-pass", a.LowPass, func(c *chain.Settings, s string) (err error) { c.LowPass, err = filter.ParseCut(s); return err }},
	} {
		if err := s.each(one.text, one.set); err != nil {
			return s, fmt.Errorf("%s: %w", one.name, err)
		}
	}
	if a.Limit != "" {
		var err error
		if s.Limit, err = chain.ParseLimit(a.Limit); err != nil {
			return s, fmt.Errorf("limit: %w", err)
		}
	}
	return s, a.Only.on(&s)
}

// each reads one value for all strips, or one for each.
func (s *Settings) each(text string, set func(*chain.Settings, string) error) error {
	if text == "" {
		return nil
	}
	values := strings.Split(text, ",")
	if len(values) > Max {
		return fmt.Errorf("%d values: there are %d microphones at most (a decimal has a point: 4.5)", len(values), Max)
	}
	s.Unlinked = s.Unlinked || len(values) > 1
	to := s.Strips[:]
	if len(values) > 1 {
		to = to[:len(values)]
	}
	for i := range to {
		if err := set(&to[i].Chain, values[min(i, len(values)-1)]); err != nil {
			return err
		}
	}
	return nil
}

func (a Only) on(s *Settings) error {
	if a.Names != "" {
		names, err := ParseNames(a.Names)
		if err != nil {
			return fmt.Errorf("names: %w", err)
		}
		for i, name := range names {
			s.Strips[i].Name = name
		}
	}
	if err := s.mark("invert", a.Invert, func(s *Strip) { s.Inverted = true }); err != nil {
		return err
	}
	if err := s.mark("mute", a.Mute, func(s *Strip) { s.Muted = true }); err != nil {
		return err
	}
	for _, one := range []struct {
		name, text string
		to         *Layout
	}{{"route", a.Route, &s.Route}, {"ears", a.Ears, &s.Ears}} {
		if one.text == "" {
			continue
		}
		var err error
		if *one.to, err = ParseLayout(one.text); err != nil {
			return fmt.Errorf("%s %w", one.name, err)
		}
	}
	return nil
}

// mark sets something on the strips named, by number or name.
func (s *Settings) mark(name, who string, set func(*Strip)) error {
	if who == "" {
		return nil
	}
	for _, one := range strings.Split(who, ",") {
		i, err := s.Find(one)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		s.Unlinked = true
		set(&s.Strips[i])
	}
	return nil
}

// Fits refuses more values than there are microphones.
func (a Asked) Fits(microphones int) error {
	for _, one := range [...][2]string{{"gain", a.Gain}, {"high-pass", a.HighPass}, {"low-pass", a.LowPass}, {"names", a.Names}} {
		if n := strings.Count(one[1], ",") + 1; n > microphones && n > 1 {
			return fmt.Errorf("%s %s gives %d values, microphones heard: %d: give one for all or one for each (a decimal has a point: 4.5)", one[0], one[1], n, microphones)
		}
	}
	return nil
}
