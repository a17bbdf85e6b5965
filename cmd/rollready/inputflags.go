package main

import (
	"github.com/spf13/cobra"

	"rollready/capture"
	"rollready/capture/rig"
	"rollready/presets"
)

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
		in.Expect = kept.InputName
	}
	if f.cmd.Flags().Changed("channels") {
		channels = f.channels
	}
	in.Choice, in.Fallback = choice, !named || choice == ""
	in.Pick, err = capture.ParsePick(channels)
	return in, err
}
