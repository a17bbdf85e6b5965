package main

import (
	"fmt"
	"io"
	"time"

	"rollready/capture/device"
	"rollready/capture/mixer"
	"rollready/presets"
)

// volumeText says what the sound system does to a device.
func volumeText(s mixer.Setting) string {
	if s.Muted {
		return "muted"
	}
	return s.Volume.String()
}

// outputVolume is the volume, now, of the output of a name; unknown where
// there is none, or several. A stream of ours that plays there has no part in
// it.
func outputVolume(name string) presets.Volume {
	system := device.NewSystem(nil)
	defer system.Close()
	outputs, err := system.Outputs()
	mixed, failed := mixer.Read()
	if err != nil || failed != nil {
		return presets.Volume{}
	}
	var found []presets.Volume
	for _, o := range outputs {
		if o.Name == name {
			found = append(found, mixed.Output(o.ID).Volume)
		}
	}
	if len(found) != 1 {
		return presets.Volume{}
	}
	return found[0]
}

// volumeTeller says what the sound system does to an output that sounds, at
// first and whenever it changes.
type volumeTeller struct {
	to    io.Writer
	name  string
	begun time.Time
	told  string
}

// tellPatience is how long an output's volume may take to be known.
const tellPatience = 2 * time.Second

func (v *volumeTeller) tell(s mixer.Setting) {
	text := fmt.Sprintf("the system has %q at %s", v.name, s.Volume)
	switch {
	case s.Muted:
		text = fmt.Sprintf("the system mutes %q: unmute it there, or the camera hears nothing", v.name)
	case !s.Volume.Known:
		text = fmt.Sprintf("the system does not tell the volume of %q", v.name)
	case s.Volume.Uneven():
		text += ": set its balance to the middle first"
	}
	if text != v.told && (s.Told || time.Since(v.begun) > tellPatience) {
		v.told = text
		fmt.Fprintln(v.to, text)
	}
}
