package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"rollready/dsp/chain"
	"rollready/dsp/figure"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
	"rollready/presets"
)

// chainFlags are the flags of every command that runs a chain. Without any the
// chain is as last set in the monitor; with any, what is not given is off. One
// value is for every microphone; several, by commas, are for one each.
type chainFlags struct {
	preset, gain, highPass, lowPass, limit string
	stripFlags
}

// stripFlags are those of several microphones. They change nothing else.
type stripFlags struct{ names, invert, mute, route, ears string }

func (f *chainFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.preset, "preset", "", "start from the preset `NAME`")
	flags.StringVar(&f.gain, "gain", "", "gain in `DB`; by commas, also of filters, one for each microphone: 6,-3")
	flags.StringVar(&f.highPass, "high-pass", "", "high-pass as `HZ/SLOPE`, slope in dB per octave (80/24), or off")
	flags.StringVar(&f.lowPass, "low-pass", "", "low-pass as `HZ/SLOPE`, or off")
	flags.StringVar(&f.limit, "limit", "", "limit true peaks to `DBTP`, or off")
	flags.StringVar(&f.names, "names", "", "`WHO` speaks into each microphone: host,guest")
	flags.StringVar(&f.invert, "invert", "", "turn the polarity of the microphones `WHICH`, by number or name")
	flags.StringVar(&f.mute, "mute", "", "mute the microphones `WHICH`")
	flags.StringVar(&f.route, "route", "", "`WHERE` they go: together, apart, safety; or each: left,right,both,none")
	flags.StringVar(&f.ears, "ears", "", "`WHERE` they go in the headphones; as to the camera if not given")
}

// settings gives the strips that the flags ask for. kept are those last set in
// the monitor.
func (f *chainFlags) settings(kept strips.Settings, shelf *presets.Shelf[presets.Preset]) (strips.Settings, error) {
	s := kept
	s.Solo = 0
	if asked := (chainFlags{stripFlags: f.stripFlags}); *f != asked {
		s = strips.Settings{}
	}
	if f.preset != "" {
		p, err := shelf.Load(f.preset)
		if err != nil {
			return s, explain(err, "preset")
		}
		s = p.On(s, 0)
	}
	for _, flag := range []struct {
		name, text string
		set        func(*chain.Settings, string) error
	}{
		{"gain", f.gain, func(c *chain.Settings, s string) (err error) { c.GainDB, err = decibels(s); return err }},
		{"high-pass", f.highPass, func(c *chain.Settings, s string) (err error) { c.HighPass, err = filter.ParseCut(s); return err }},
		{"low-pass", f.lowPass, func(c *chain.Settings, s string) (err error) { c.LowPass, err = filter.ParseCut(s); return err }},
	} {
		if err := each(&s, flag.text, flag.set); err != nil {
			return s, fmt.Errorf("--%s: %w", flag.name, err)
		}
	}
	if f.limit != "" {
		var err error
		if s.Limit, err = parseLimit(f.limit); err != nil {
			return s, fmt.Errorf("--limit: %w", err)
		}
	}
	if err := f.stripFlags.on(&s); err != nil {
		return s, err
	}
	return s, s.Check()
}

// each reads one value for all strips, or one for each.
func each(s *strips.Settings, text string, set func(*chain.Settings, string) error) error {
	if text == "" {
		return nil
	}
	values := strings.Split(text, ",")
	if len(values) > strips.Max {
		return fmt.Errorf("%d values: there are %d microphones at most (a decimal has a point: 4.5)", len(values), strips.Max)
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

func (f *stripFlags) on(s *strips.Settings) (err error) {
	if f.names != "" {
		names, err := strips.ParseNames(f.names)
		if err != nil {
			return fmt.Errorf("--names: %w", err)
		}
		for i, name := range names {
			s.Strips[i].Name = name
		}
	}
	for _, flag := range []struct {
		name, text string
		set        func(*strips.Strip)
	}{
		{"invert", f.invert, func(s *strips.Strip) { s.Inverted = true }},
		{"mute", f.mute, func(s *strips.Strip) { s.Muted = true }},
	} {
		if flag.text == "" {
			continue
		}
		for _, who := range strings.Split(flag.text, ",") {
			i, err := s.Find(who)
			if err != nil {
				return fmt.Errorf("--%s: %w", flag.name, err)
			}
			s.Unlinked = true
			flag.set(&s.Strips[i])
		}
	}
	for _, flag := range []struct {
		name, text string
		to         *strips.Layout
	}{{"route", f.route, &s.Route}, {"ears", f.ears, &s.Ears}} {
		if flag.text == "" {
			continue
		}
		if *flag.to, err = strips.ParseLayout(flag.text); err != nil {
			return fmt.Errorf("--%s %w", flag.name, err)
		}
	}
	return nil
}

// fits refuses more values than there are microphones.
func (f *chainFlags) fits(microphones int) error {
	for _, flag := range [...][2]string{{"gain", f.gain}, {"high-pass", f.highPass}, {"low-pass", f.lowPass}, {"names", f.names}} {
		if n := strings.Count(flag[1], ",") + 1; n > microphones && n > 1 {
			return fmt.Errorf("--%s %s gives %d values, microphones heard: %d: give one for all or one for each (a decimal has a point: 4.5)", flag[0], flag[1], n, microphones)
		}
	}
	return nil
}

// decibels reads a number with or without its unit.
func decibels(text string) (float64, error) {
	number := strings.NewReplacer("−", "-", ",", ".").Replace(strings.TrimSpace(text))
	for _, unit := range []string{"dBTP", "dBFS", "dB"} {
		number = strings.TrimSpace(strings.TrimSuffix(number, unit))
	}
	x, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%q is no number of decibels: write it like -6 or 4.5", text)
	}
	return x, nil
}

// meterLevel reads a level on a camera's meter, which ends at 0 dBFS.
func meterLevel(text string) (float64, error) {
	x, err := decibels(text)
	if err == nil && x > 0 {
		return 0, fmt.Errorf("%g dBFS lies above the end of a camera's meter: write it with its minus, like -%g", x, x)
	}
	return x, err
}

func parseLimit(text string) (chain.Limit, error) {
	if text == "off" {
		return chain.Limit{}, nil
	}
	x, err := decibels(text)
	return chain.Limit{On: true, CeilingDBTP: x}, err
}

// describeStrips is what so many strips do, in words.
func describeStrips(s strips.Settings, count int) string {
	s = s.Fit(count)
	text := describeChain(s.Chain(0))
	if s.Unlinked {
		var each []string
		for i, strip := range s.InUse() {
			words := s.Called(i) + ": " + describeChain(strip.Chain)
			if strip.Inverted {
				words += ", polarity inverted"
			}
			if strip.Muted {
				words += ", muted"
			}
			each = append(each, words)
		}
		text = strings.Join(each, "; ")
		if s.Limit.On {
			text += limitWords(s.Limit)
		}
	}
	if s.Route != "" {
		text += "; " + s.Route.Does()
	}
	return text
}

// describeChain is a chain in words.
func describeChain(c chain.Settings) string {
	text := figure.Sprintf("gain %+.1f dB, high-pass %s, low-pass %s", c.GainDB, describeCut(c.HighPass), describeCut(c.LowPass))
	if c.Limit.On {
		text += limitWords(c.Limit)
	}
	return text
}

func limitWords(l chain.Limit) string { return figure.Sprintf(", limit %.1f dBTP", l.CeilingDBTP) }

func describeCut(c filter.Cut) string {
	if !c.On() {
		return "off"
	}
	return fmt.Sprintf("%g Hz %d dB per octave", c.Hz, c.Slope)
}
