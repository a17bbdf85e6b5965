package mixer

import (
	"fmt"
	"math"

	"rollready/presets"
)

// Setting is what the mixer does to a device, or to sound on its way through
// one. The zero value means that nothing is known.
type Setting struct {
	Told   bool           // the system said something
	Volume presets.Volume // may be unknown even so
	Muted  bool           // nothing passes: muted, or turned down to nothing
}

// settingOf words the channels' volumes in dB. Without any, or where they are
// not known to be decibels, the volume is unknown.
func settingOf(channelsDB []float64, muted, decibels bool) Setting {
	s := Setting{Told: true, Muted: muted}
	if len(channelsDB) == 0 {
		return s
	}
	v := presets.Volume{Known: decibels, LoudestDB: math.Inf(-1), QuietestDB: math.Inf(1)}
	for _, db := range channelsDB {
		v.LoudestDB, v.QuietestDB = max(v.LoudestDB, db), min(v.QuietestDB, db)
	}
	if math.IsInf(v.LoudestDB, -1) {
		s.Muted = true
		return s
	}
	if decibels {
		s.Volume = v
	}
	return s
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
