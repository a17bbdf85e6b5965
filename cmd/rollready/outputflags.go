package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/output"
	"rollready/capture/session"
)

// outputFlags choose where the sound goes. Without them it goes nowhere.
type outputFlags struct {
	headphones, toCamera string
}

func (f *outputFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.headphones, "output", "", "headphones: part of the output's `NAME`, or its id; starts muted and low")
	cmd.Flags().StringVar(&f.toCamera, "camera-output", "", "way to the camera: part of the output's `NAME`, or its id; sounds at once")
}

// ways are the ways out; nil where none was asked for.
type ways struct {
	headphones, camera *output.Way
}

// open opens the ways that were asked for.
func (f *outputFlags) open(system *device.System, s *session.Session) (w ways, err error) {
	if f.headphones != "" {
		w.headphones, err = output.Open(s, output.Options{Open: openOutput(system, f.headphones), Source: output.Output})
	}
	if f.toCamera != "" && err == nil {
		w.camera, err = output.Open(s, output.Options{Open: openOutput(system, f.toCamera), Source: output.Output, Camera: true})
	}
	if err != nil {
		w.close()
	}
	return w, explainOutput(err)
}

func (w ways) close() {
	for _, way := range []*output.Way{w.headphones, w.camera} {
		if way != nil {
			way.Close()
		}
	}
}

// openOutput opens the device chosen, and from then on only that one.
func openOutput(system *device.System, choice string) output.Opener {
	var known device.Info
	return func() (output.Device, string, error) {
		ask := choice
		if known.Name != "" {
			ask = known.Key()
		}
		o, err := system.OpenOutput(ask, 0, 0)
		if err != nil {
			return nil, "", err
		}
		if known.Name != "" && o.Info().Name != known.Name {
			o.Close()
			return nil, "", fmt.Errorf("output %q is not there: connect it", known.Name)
		}
		known = o.Info()
		return o, known.Name, nil
	}
}

// explainOutput adds what to do to an error of opening an output.
func explainOutput(err error) error {
	if errors.Is(err, device.ErrNoOutput) {
		return fmt.Errorf("%w: connect headphones, and see rollready devices", err)
	}
	return err
}
