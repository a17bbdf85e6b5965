package presets

import (
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

// starterPresets are a first start's. Cutoffs are common practice, no source.
func starterPresets() []Preset {
	return []Preset{
		{Name: "flat", Note: "Nothing is changed."},
		{Name: "indoor voice", Note: "Speech in a room: takes away steps, traffic and desk thumps.",
			Strips: strips.Of(chain.Settings{HighPass: filter.Cut{Hz: 80, Slope: 24}})},
		{Name: "outdoor wind", Note: "Speech in wind, with fur on the microphone: the voice gets a little thinner.",
			Strips: strips.Of(chain.Settings{HighPass: filter.Cut{Hz: 120, Slope: 24}})},
	}
}

func starterCameras() []Camera { return []Camera{NewCamera("camera")} }

// NewCamera is a profile that nothing was measured for, with a card that fits
// most cameras (common practice, no source). The cautions defer to the maker
// and to qualified people.
func NewCamera(name string) Camera {
	return Camera{
		Name:     name,
		Scale:    camera.Default,
		MicLevel: "by hand, as low as the line-up allows",
		Cable: "The mic jack expects millivolts and may carry plug-in power: use a pad and a DC block, " +
			"as the makers advise. When in doubt ask a qualified technician.",
		Reminders: []string{
			"Automatic level: off",
			"The camera's own low-cut and wind filter: off",
			"After plugging in: look at the camera's meter, then listen to the camera's headphone jack, turned low first",
		},
	}
}
