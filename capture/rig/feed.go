package rig

import (
	"rollready/capture/mixer"
	"rollready/dsp/figure"
	"rollready/presets"
)

// The camera's line-up holds for one volume of its output: what the sound
// system turns down, the camera no longer gets, and its meter here lies.

// HeightWords say in a sentence at which volume something is.
func HeightWords(v presets.Volume) string {
	switch {
	case !v.Known:
		return "an unknown volume"
	case v.Uneven():
		return figure.Sprintf("%.1f and %.1f dB", v.LoudestDB, v.QuietestDB)
	}
	return figure.Sprintf("%.1f dB", v.LoudestDB)
}

// feed gives the name of the output that feeds the camera and what the sound
// system does to it. While nothing of ours plays there, our own stream's part
// is not known and taken as none.
func (r *Rig) feed(s *State) (string, mixer.Setting) {
	if s.ToCamera.Open {
		return s.ToCamera.Device, s.ToCamera.Volume
	}
	for _, o := range s.LineUp.Outputs {
		if o.Name == s.LineUp.Feeds {
			return o.Name, r.parts.Line.Volume(o.Choice)
		}
	}
	return "", mixer.Setting{}
}

// volumeChanged tells that an output is no longer as loud as at line-up; false
// where it is unknown, or was lined up over another.
func (s *State) volumeChanged(output string, now mixer.Setting) bool {
	return output == s.Camera.LinedUpWith && now.Volume.Differs(s.Camera.LinedUpVolume)
}

// VolumeTrouble says in a sentence what the sound system does to the camera's
// feed that makes its meter here wrong, and what to do; "" if nothing.
func (s *State) VolumeTrouble() string {
	switch {
	case s.FeedVolume.Muted:
		return "The system mutes " + s.FeedName + ": unmute it there, or the camera hears nothing."
	case s.volumeChanged(s.FeedName, s.FeedVolume):
		return s.FeedName + " is at " + HeightWords(s.FeedVolume.Volume) + ", at line-up at " + HeightWords(s.Camera.LinedUpVolume) +
			": set its volume back or line up again."
	}
	return ""
}
