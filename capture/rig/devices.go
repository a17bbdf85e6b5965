package rig

import (
	"errors"
	"strconv"
	"strings"

	"rollready/capture/device"
	"rollready/presets"
)

// devices lists what there is to choose from, as people see it.
func devices(found []device.Info, err error, inUse presets.Output) ([]Device, error) {
	var list []Device
	for _, i := range found {
		list = append(list, Device{Choice: i.Key(), Name: i.Name, Twin: i.Twin, Mark: i.Mark, Detail: detail(i), Default: i.Default, InUse: inUse.Is(i.Output())})
	}
	if errors.Is(err, device.ErrNoOutput) {
		err = nil // an empty list says it
	}
	return list, err
}

// detail says in a few words what a device gives, and its id where another has
// the same name.
func detail(i device.Info) string {
	var words []string
	if i.Twin {
		words = append(words, i.ID)
	}
	if i.Default {
		words = append(words, "default")
	}
	if i.Monitor {
		words = append(words, "what an output plays, no microphone")
	}
	for _, hz := range i.RatesHz {
		words = append(words, strconv.FormatFloat(float64(hz)/1000, 'f', -1, 64)+" kHz")
	}
	if i.Channels > 0 {
		words = append(words, strconv.Itoa(i.Channels)+" channels")
	}
	return strings.Join(words, ", ")
}
