package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/mixer"
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
	Volume   figure.Figure   `json:"volume_db"`
	Quietest figure.Figure   `json:"quietest_channel_db"`
	Muted    *bool           `json:"muted"`
}

func newDevices(a *app) *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{
		Use:   "devices",
		Short: "List inputs and outputs",
		Long: `Lists inputs and outputs with the rates and channels they have of their own, and
the volume the sound server gives them, where it tells. At other than 0 dB it may
change an input digitally before anything here measures it.
Any part of a name, or the id, is what --input takes.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error { return listDevices(a.stdout, asJSON) },
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object")
	return cmd
}

func listDevices(w io.Writer, asJSON bool) error {
	system := device.NewSystem(nil)
	defer system.Close()
	inputs, err := system.Inputs()
	if err != nil {
		return err
	}
	outputs, err := system.Outputs()
	if err != nil {
		return err
	}
	mixed, _ := mixer.Read() // where nobody tells, all volumes are unknown
	if asJSON {
		return printJSON(w, map[string][]deviceJSON{"inputs": devicesJSON(inputs, mixed.Input), "outputs": devicesJSON(outputs, mixed.Output)})
	}
	err = deviceTable(w, "INPUT", "No input: connect a microphone or an audio interface.", inputs, mixed.Input)
	fmt.Fprintln(w)
	return errors.Join(err, deviceTable(w, "OUTPUT", "No output: connect headphones or the camera's cable.", outputs, mixed.Output))
}

func devicesJSON(list []device.Info, setting func(id string) mixer.Setting) []deviceJSON {
	out := make([]deviceJSON, len(list))
	for i, d := range list {
		s := setting(d.ID)
		out[i] = deviceJSON{Name: d.Name, ID: d.ID, Backend: d.Backend, Default: d.Default, Monitor: d.Monitor,
			RatesHz: figure.List(d.RatesHz), Channels: d.Channels}
		out[i].Volume, out[i].Quietest = s.Volume.Figures()
		if s.Told {
			out[i].Muted = &s.Muted
		}
	}
	return out
}

func deviceTable(w io.Writer, title, none string, list []device.Info, setting func(id string) mixer.Setting) error {
	if len(list) == 0 {
		_, err := fmt.Fprintln(w, none)
		return err
	}
	table := newColumns(w, title, "CHANNELS", "RATES", "VOLUME", "SYSTEM", "ID")
	for _, d := range list {
		name := d.Name
		if d.Default {
			name += " (default)"
		}
		if d.Monitor {
			name += " (what an output plays)"
		}
		table.row(name, channelCount(d.Channels), rates(d.RatesHz), volumeText(setting(d.ID)), d.Backend, d.ID)
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
