package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/dsp/figure"
)

// deviceJSON is one device that devices --json prints.
type deviceJSON struct {
	Name     string          `json:"name"`
	ID       string          `json:"id"`
	Backend  string          `json:"backend"`
	Default  bool            `json:"default"`
	Monitor  bool            `json:"monitor"`
	RatesHz  []figure.Figure `json:"rates_hz"`
	Channels int             `json:"channels"`
}

func newDevices(a *app) *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{
		Use:   "devices",
		Short: "List inputs and outputs",
		Long: `Lists inputs and outputs with the rates and channels they have of their own.
Any part of a name, or the id, is what --input takes.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error { return listDevices(a.stdout, asJSON) },
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object")
	return cmd
}

func listDevices(w io.Writer, asJSON bool) error {
	system := device.NewSystem()
	defer system.Close()
	inputs, err := system.Inputs()
	if err != nil {
		return err
	}
	outputs, err := system.Outputs()
	if err != nil {
		return err
	}
	if asJSON {
		return printJSON(w, map[string][]deviceJSON{"inputs": devicesJSON(inputs), "outputs": devicesJSON(outputs)})
	}
	err = deviceTable(w, "INPUT", "No input: connect a microphone or an audio interface.", inputs)
	fmt.Fprintln(w)
	return errors.Join(err, deviceTable(w, "OUTPUT", "No output: connect headphones or the camera's cable.", outputs))
}

func devicesJSON(list []device.Info) []deviceJSON {
	out := make([]deviceJSON, len(list))
	for i, d := range list {
		out[i] = deviceJSON{d.Name, d.ID, d.Backend, d.Default, d.Monitor, figure.List(d.RatesHz), d.Channels}
	}
	return out
}

func deviceTable(w io.Writer, title, none string, list []device.Info) error {
	if len(list) == 0 {
		_, err := fmt.Fprintln(w, none)
		return err
	}
	table := newColumns(w, title, "CHANNELS", "RATES", "SYSTEM", "ID")
	for _, d := range list {
		name := d.Name
		if d.Default {
			name += " (default)"
		}
		if d.Monitor {
			name += " (what an output plays)"
		}
		table.row(name, channelCount(d.Channels), rates(d.RatesHz), d.Backend, d.ID)
	}
	return table.print()
}

func channelCount(n int) string {
	if n == 0 {
		return "any"
	}
	return fmt.Sprint(n)
}

func rates(list []int) string {
	if len(list) == 0 {
		return "any"
	}
	var text []string
	for _, hz := range list {
		text = append(text, fmt.Sprintf("%g", float64(hz)/1000))
	}
	return strings.Join(text, " ") + " kHz"
}
