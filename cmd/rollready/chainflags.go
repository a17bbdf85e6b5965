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
	"rollready/presets"
)

// chainFlags are the flags of every command that runs a chain. Without any the
// chain is as last set in the monitor; with any, what is not given is off.
type chainFlags struct {
	preset, gain, highPass, lowPass, limit string
}

func (f *chainFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.preset, "preset", "", "start from the preset `NAME`")
	flags.StringVar(&f.gain, "gain", "", "gain in `DB`")
	flags.StringVar(&f.highPass, "high-pass", "", "high-pass as `HZ/SLOPE`, slope in dB per octave (80/24), or off")
	flags.StringVar(&f.lowPass, "low-pass", "", "low-pass as `HZ/SLOPE`, or off")
	flags.StringVar(&f.limit, "limit", "", "limit true peaks to `DBTP`, or off")
}

// settings gives the chain that the flags ask for. kept is the chain as last
// set in the monitor, and preset the name it goes by.
func (f *chainFlags) settings(kept chain.Settings, shelf *presets.Shelf[presets.Preset]) (chain.Settings, error) {
	if *f == (chainFlags{}) {
		return kept, nil
	}
	var c chain.Settings
	if f.preset != "" {
		p, err := shelf.Load(f.preset)
		if err != nil {
			return c, explain(err, "preset")
		}
		c = p.Chain
	}
	for _, flag := range []struct {
		name, text string
		set        func(string) error
	}{
		{"gain", f.gain, func(s string) (err error) { c.GainDB, err = decibels(s); return err }},
		{"high-pass", f.highPass, func(s string) (err error) { c.HighPass, err = filter.ParseCut(s); return err }},
		{"low-pass", f.lowPass, func(s string) (err error) { c.LowPass, err = filter.ParseCut(s); return err }},
		{"limit", f.limit, func(s string) (err error) { c.Limit, err = parseLimit(s); return err }},
	} {
		if flag.text == "" {
			continue
		}
		if err := flag.set(flag.text); err != nil {
			return c, fmt.Errorf("--%s: %w", flag.name, err)
		}
	}
	return c, c.Check()
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

// describeChain is a chain in words.
func describeChain(c chain.Settings) string {
	text := figure.Sprintf("gain %+.1f dB, high-pass %s, low-pass %s", c.GainDB, describeCut(c.HighPass), describeCut(c.LowPass))
	if c.Limit.On {
		text += figure.Sprintf(", limit %.1f dBTP", c.Limit.CeilingDBTP)
	}
	return text
}

func describeCut(c filter.Cut) string {
	if !c.On() {
		return "off"
	}
	return fmt.Sprintf("%g Hz %d dB per octave", c.Hz, c.Slope)
}
