package device

import (
	"errors"
	"fmt"
	"strings"

	"rollready/capture/mixer"
	"rollready/dsp/figure"
	"rollready/presets"
)

// Listed is a device with what the system's mixer does to it.
type Listed struct {
	Info
	Mixed mixer.Setting
}

// Look lists all devices; where nobody tells, their volumes are unknown.
func Look() (inputs, outputs []Listed, err error) {
	system := NewSystem(nil)
	defer system.Close()
	in, err := system.Inputs()
	if err != nil {
		return nil, nil, err
	}
	out, err := system.Outputs()
	if err != nil {
		return nil, nil, err
	}
	mixed, _ := mixer.Read()
	return listed(in, mixed.Input), listed(out, mixed.Output), nil
}

func listed(found []Info, setting func(id string) mixer.Setting) []Listed {
	list := make([]Listed, len(found))
	for i, d := range found {
		list[i] = Listed{d, setting(d.ID)}
	}
	return list
}

// NamedOutput is the output a person means, "" none. Of one that is not there
// only what it was called is known. An error tells that several could be meant.
func NamedOutput(choice string) (presets.Output, error) {
	if choice == "" {
		return presets.Output{}, nil
	}
	system := NewSystem(nil)
	defer system.Close()
	found, err := system.Outputs()
	if err == nil {
		var i Info
		if i, err = choose(output, choice, found); err == nil {
			return i.Output(), nil
		}
	}
	if errors.Is(err, errSeveral) {
		return presets.Output{}, err
	}
	return presets.Output{Name: choice}, nil
}

// OutputVolume is the volume, now, of an output; unknown where it is not there.
// A stream of ours that plays there has no part in it.
func OutputVolume(of presets.Output) presets.Volume {
	_, outputs, err := Look()
	if err != nil {
		return presets.Volume{}
	}
	for _, o := range outputs {
		if of.Is(o.Output()) {
			return o.Mixed.Volume
		}
	}
	return presets.Volume{}
}

// JSON gives devices as scripts read them.
func JSON(list []Listed) any {
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
	out := make([]deviceJSON, len(list))
	for i, d := range list {
		out[i] = deviceJSON{Name: d.Name, ID: d.ID, Backend: d.Backend, Default: d.Default, Monitor: d.Monitor,
			RatesHz: figure.List(d.RatesHz), Channels: d.Channels}
		out[i].Volume, out[i].Quietest = d.Mixed.Volume.Figures()
		if d.Mixed.Told {
			out[i].Muted = &d.Mixed.Muted
		}
	}
	return out
}

// Rows are a table of devices, the first row its heading.
func Rows(title string, list []Listed) [][]string {
	rows := [][]string{{title, "CHANNELS", "RATES", "VOLUME", "SYSTEM", "ID"}}
	for _, d := range list {
		name, channels, volume := d.Name, "any", d.Mixed.Volume.String()
		if d.Default {
			name += " (default)"
		}
		if d.Monitor {
			name += " (what an output plays)"
		}
		if d.Channels > 0 {
			channels = fmt.Sprint(d.Channels)
		}
		if d.Mixed.Muted {
			volume = "muted"
		}
		rows = append(rows, []string{name, channels, rates(d.RatesHz), volume, d.Backend, d.ID})
	}
	return rows
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
