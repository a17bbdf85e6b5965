package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/capture/device"
)

func newDevices(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "devices",
		Short: "List inputs and outputs",
		Long: `Lists inputs and outputs with the rates and channels they have of their own, and
the volume the sound server gives them, where it tells. At other than 0 dB it may
change an input digitally before anything here measures it.
Any part of a name, or the id, is what --input takes.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error { return listDevices(a) },
	}
	a.jsonFlag(cmd, "one JSON object")
	return cmd
}

func listDevices(a *app) error {
	inputs, outputs, err := device.Look()
	if err != nil {
		return err
	}
	return a.say(map[string]any{"inputs": device.JSON(inputs), "outputs": device.JSON(outputs)}, func() error {
		err := deviceTable(a, "INPUT", "No input: connect a microphone or an audio interface.", inputs)
		fmt.Fprintln(a.stdout)
		return errors.Join(err, deviceTable(a, "OUTPUT", "No output: connect headphones or the camera's cable.", outputs))
	})
}

func deviceTable(a *app, title, none string, list []device.Listed) error {
	if len(list) == 0 {
		_, err := fmt.Fprintln(a.stdout, none)
		return err
	}
	return a.table(device.Rows(title, list))
}
