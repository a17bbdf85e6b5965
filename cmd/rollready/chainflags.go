package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"rollready/dsp/strips"
	"rollready/presets"
)

// chainFlags are the flags of every command that runs a chain. Without any the
// chain is as last set in the monitor; with any, what is not given is off.
type chainFlags struct {
	preset string
	strips.Asked
}

func (f *chainFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.preset, "preset", "", "start from the preset `NAME`")
	flags.StringVar(&f.Gain, "gain", "", "gain in `DB`; by commas, also of filters, one for each microphone: 6,-3")
	flags.StringVar(&f.HighPass, "high-pass", "", "high-pass as `HZ/SLOPE`, slope in dB per octave (80/24), or off")
	flags.StringVar(&f.LowPass, "low-pass", "", "low-pass as `HZ/SLOPE`, or off")
	flags.StringVar(&f.Limit, "limit", "", "limit true peaks to `DBTP`, or off")
	flags.StringVar(&f.Names, "names", "", "`WHO` speaks into each microphone: host,guest")
	flags.StringVar(&f.Invert, "invert", "", "turn the polarity of the microphones `WHICH`, by number or name")
	flags.StringVar(&f.Mute, "mute", "", "mute the microphones `WHICH`")
	flags.StringVar(&f.Route, "route", "", "`WHERE` they go: together, apart, safety; or each: left,right,both,none")
	flags.StringVar(&f.Ears, "ears", "", "`WHERE` they go in the headphones; as to the camera if not given")
}

// settings gives the strips that the flags ask for. kept are those last set in
// the monitor.
func (f *chainFlags) settings(kept strips.Settings, shelf *presets.Shelf[presets.Preset]) (s strips.Settings, err error) {
	if f.preset == "" && f.Asked == (strips.Asked{Only: f.Only}) {
		s = kept
		s.Solo = 0
	}
	if f.preset != "" {
		p, err := shelf.Load(f.preset)
		if err != nil {
			return s, explain(err, "preset")
		}
		s = p.On(s, 0)
	}
	if s, err = f.On(s); err != nil {
		return s, fmt.Errorf("--%w", err)
	}
	return s, s.Check()
}

// fits refuses more values than there are microphones.
func (f *chainFlags) fits(microphones int) error {
	if err := f.Fits(microphones); err != nil {
		return fmt.Errorf("--%w", err)
	}
	return nil
}
