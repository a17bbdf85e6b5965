package mixer

import (
	"fmt"
	"math"

	"github.com/jfreymuth/pulse/proto"

	"rollready/presets"
)

// Setting is what the mixer does to a device, or to sound on its way through
// one. The zero value means that nothing is known.
type Setting struct {
	Told   bool           // the server said something
	Volume presets.Volume // may be unknown even so
	Muted  bool           // nothing passes: muted, or turned down to nothing
}

// settingOf words a server's channel volumes. scaled tells that they follow
// PulseAudio's own scale; only then are they decibels.
func settingOf(channels proto.ChannelVolumes, muted, scaled bool) Setting {
	s := Setting{Told: true, Muted: muted}
	if len(channels) == 0 {
		return s
	}
	v := presets.Volume{Known: scaled, LoudestDB: math.Inf(-1), QuietestDB: math.Inf(1)}
	for _, c := range channels {
		v.LoudestDB, v.QuietestDB = max(v.LoudestDB, decibels(c)), min(v.QuietestDB, decibels(c))
	}
	if math.IsInf(v.LoudestDB, -1) {
		s.Muted = true
		return s
	}
	if scaled {
		s.Volume = v
	}
	return s
}

// decibels of a channel's volume: the scale is cubic and 0x10000 stands for
// 0 dB. Source: PulseAudio's documentation, "Volume Control", and the
// constants PA_VOLUME_NORM and PA_VOLUME_MUTED (pulse/volume.h, 16.1).
func decibels(volume uint32) float64 {
	return 60 * math.Log10(float64(volume)/float64(proto.VolumeNorm))
}

// then is the setting of sound that goes through s and then through next.
func (s Setting) then(next Setting) Setting {
	return Setting{Told: s.Told && next.Told, Muted: s.Muted || next.Muted, Volume: presets.Volume{
		Known:      s.Volume.Known && next.Volume.Known,
		LoudestDB:  s.Volume.LoudestDB + next.Volume.LoudestDB,
		QuietestDB: s.Volume.QuietestDB + next.Volume.QuietestDB,
	}}
}

// Words say what the system does to an output of a name.
func (s Setting) Words(name string) string {
	text := fmt.Sprintf("the system has %q at %s", name, s.Volume)
	switch {
	case s.Muted:
		return fmt.Sprintf("the system mutes %q: unmute it there, or the camera hears nothing", name)
	case !s.Volume.Known:
		return fmt.Sprintf("the system does not tell the volume of %q", name)
	case s.Volume.Uneven():
		text += ": set its balance to the middle first"
	}
	return text
}
