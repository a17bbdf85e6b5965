package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"rollready/capture"
	"rollready/capture/demo"
	"rollready/capture/device"
	"rollready/capture/rig/session"
	"rollready/capture/wavfile"
	"rollready/presets"
)

// demoRateHz is the sample rate of the demo scene.
const demoRateHz = 48000

// filePrefix marks an input that is a file.
const filePrefix = "file:"

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

// input is a chosen input.
type input struct {
	open     session.Opener
	fallback session.Opener // nil where the user named the input
	expect   string
	pick     capture.Pick
	choice   string // as --input takes it
	path     string // of a file, else ""
}

// choose combines the flags with what the monitor had last.
func (f *inputFlags) choose(a *app, kept presets.Settings, system *device.System) (input, error) {
	in := input{}
	choice, channels := kept.Input, kept.Channels
	named := f.cmd.Flags().Changed("input")
	if named {
		choice, channels = f.input, ""
	}
	if f.cmd.Flags().Changed("channels") {
		channels = f.channels
	}
	var err error
	if in.pick, err = capture.ParsePick(channels); err != nil {
		return in, err
	}
	if !named {
		in.expect = kept.InputName
	}
	in.choice = choice
	in.open, in.path = a.opener(choice, in.expect, system)
	if !named || choice == "" {
		in.fallback = openDemo
	}
	return in, nil
}

// opener gives what opens an input, and the path where it is a file. name is
// what a device was called when last used.
func (a *app) opener(choice, name string, system *device.System) (open session.Opener, path string) {
	path, isFile := strings.CutPrefix(choice, filePrefix)
	switch {
	case isFile:
		return func() (capture.Source, error) { return a.openFile(path) }, path
	case choice == "demo":
		return openDemo, ""
	default:
		return system.Input(choice, name).Open, ""
	}
}

func openDemo() (capture.Source, error) { return demo.New(demoRateHz), nil }

// openFile opens a file to be played in real time.
func (a *app) openFile(path string) (capture.Source, error) {
	src, err := wavfile.NewSource(path, true)
	if err != nil {
		return nil, err
	}
	a.warnCutShort(path, src.Reader())
	return src, nil
}

func (a *app) warnCutShort(path string, r *wavfile.Reader) {
	if r.Truncated() {
		length := float64(r.Frames()) / float64(r.Format().RateHz)
		a.warn(fmt.Errorf("%s was never closed or is cut short: reading the %.1f s that are there", path, length))
	}
}

// explainInput adds what to do to an error of opening an input.
func explainInput(err error) error {
	if errors.Is(err, capture.ErrNoInput) {
		return fmt.Errorf("%w: connect a microphone, or use --input demo", err)
	}
	return err
}
