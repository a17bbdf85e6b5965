package main

import (
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/rig/output"
	"rollready/tui"
)

// noOutput is the choice of no output, where one is kept from last time.
const noOutput = "off"

// outputFlags choose where the sound goes. Without them it goes where it went
// last time.
type outputFlags struct {
	headphones, toCamera string
}

func (f *outputFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.headphones, "output", "", "headphones: part of the output's `NAME`, id or off; starts muted")
	cmd.Flags().StringVar(&f.toCamera, "camera-output", "", "to the camera: part of the output's `NAME`, id or off; sounds at once")
}

// openOutputs opens the outputs asked for, else those of last time. One of
// last time that is not there now is no error: the screen says so.
func (m *monitor) openOutputs(f *outputFlags) error {
	return errors.Join(m.openAt(tui.Headphones, f.headphones, &m.settings.Headphones),
		m.openAt(tui.CameraInput, f.toCamera, &m.settings.CameraOutput))
}

func (m *monitor) openAt(place tui.OutputPlace, asked string, kept *string) error {
	switch asked {
	case noOutput:
		*kept = ""
		return nil
	case "":
		if err := m.openKept(place, *kept); err != nil {
			m.app.warn(fmt.Errorf("%w; choose it in Setup once it is there", err))
		}
		return nil
	}
	err := m.sound.use(place, asked)
	if status, open := m.sound.Status(place); open {
		*kept = status.Device
	}
	return err
}

// openKept opens the output of last time by its whole name, and no other: the
// way to the camera sounds at once.
func (m *monitor) openKept(place tui.OutputPlace, name string) error {
	if name == "" {
		return nil
	}
	there, err := m.system.Outputs()
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(there, func(o device.Info) bool { return o.Name == name }) {
		return fmt.Errorf("output %q is not there", name)
	}
	return m.sound.use(place, name)
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
