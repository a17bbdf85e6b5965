package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/rescue"
	"rollready/capture/rig"
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

// inputFlags choose what is listened to. Without them it is as in the monitor.
type inputFlags struct {
	input, channels string
	cmd             *cobra.Command
}

func (f *inputFlags) add(cmd *cobra.Command) {
	f.cmd = cmd
	cmd.Flags().StringVar(&f.input, "input", "", "`INPUT`: part of its name, its id, file:PATH, or demo")
	cmd.Flags().StringVar(&f.channels, "channels", "", "`WHICH`: 1, 2, … for one; 1+2 for a pair; mix for the mean of all")
}

// choose combines the flags with what the monitor had last.
func (f *inputFlags) choose(kept presets.Settings) (in rig.Input, err error) {
	choice, channels := kept.Input, kept.Channels
	named := f.cmd.Flags().Changed("input")
	if named {
		choice, channels = f.input, ""
	} else {
		in.Expect, in.Twin = kept.InputName, kept.InputTwin
	}
	if f.cmd.Flags().Changed("channels") {
		channels, in.Exact = f.channels, true
	}
	in.Choice, in.Fallback = choice, !named || choice == ""
	in.Pick, err = capture.ParsePick(channels)
	return in, err
}

// outputFlags choose where the sound goes. Without them it goes where it went
// last time.
type outputFlags struct {
	headphones, toCamera string
}

func (f *outputFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.headphones, "headphones", "", "headphones: part of the output's `NAME`, id or off; starts muted")
	cmd.Flags().StringVar(&f.toCamera, "camera-output", "", "to the camera: part of the output's `NAME`, id or off; sounds at once")
}

func (f *outputFlags) asked() (by [2]string) {
	by[rig.Headphones], by[rig.CameraInput] = f.headphones, f.toCamera
	return by
}

// listenFlags choose what is heard, through which chain, and on which camera's
// scale it is judged: those of every command that listens.
type listenFlags struct {
	chainFlags
	inputFlags
	camera string
}

func (f *listenFlags) add(cmd *cobra.Command) {
	f.chainFlags.add(cmd)
	f.inputFlags.add(cmd)
	cmd.Flags().StringVar(&f.camera, "camera", "", "the camera in use, by `NAME`: levels are placed on its scale")
}

// listening combines the flags with what is kept.
func (f *listenFlags) listening(a *app) (o rig.Options, err error) {
	o.Store, o.Warn, o.Fits = a.store(), a.warn, f.chainFlags.fits
	o.Kept = a.settings(o.Store)
	o.Settings = o.Kept
	if o.Settings.Strips, err = f.chainFlags.settings(o.Kept.Strips, o.Store.Presets); err != nil {
		return o, err
	}
	if f.preset != "" {
		o.Settings.Preset = f.preset
	}
	var gone error
	if o.Camera, gone, err = rig.KeptCamera(o.Store, f.camera, o.Kept.CameraName); err != nil {
		return o, explain(err, "camera")
	}
	a.warn(explain(gone, "camera"))
	o.Settings.CameraName = o.Camera.Name
	o.Input, err = f.inputFlags.choose(o.Kept)
	return o, err
}

// withRig opens a rig, does something with it and closes it: in good order also
// after a mistake of ours.
func withRig(ctx context.Context, o *rig.Options, open func(context.Context, rig.Options) (*rig.Rig, error), do func(*rig.Rig) error) (err error) {
	o.Rescue = &rescue.Rescue{}
	defer o.Rescue.Recover()
	o.System = device.NewSystem(o.Rescue.Go)
	defer o.System.Close()
	r, err := open(ctx, *o)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	return do(r)
}

// takesFlag chooses the folder of the takes. Without it, it is as set in the
// monitor.
type takesFlag struct{ dir string }

func (f *takesFlag) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.dir, "takes", "", "`DIR` of the takes; without it the one set in the monitor")
}

func (f *takesFlag) folder(a *app) string {
	if f.dir != "" {
		return f.dir
	}
	return a.settings(a.store()).Recording.Folder()
}
