package rig

import (
	"rollready/capture/mixer"
	"rollready/dsp/figure"
	"rollready/dsp/verdict"
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

// besideKept notes of an output which the camera was not lined up over that the
// one it was has come back beside it, under the same name.
func (r *Rig) besideKept(s *State, now *presets.Output) {
	kept := s.Camera.LinedUpWith
	if kept.Key != "" && kept.Key != now.Key && kept.Name == now.Name && r.parts.Line.Volume(kept.Key).Told {
		now.Twin = true
	}
}

// feed gives the output that feeds the camera and what the sound
// system does to it. While nothing of ours plays there, our own stream's part
// is not known and taken as none.
func (r *Rig) feed(s *State) (presets.Output, mixer.Setting) {
	if s.ToCamera.Open {
		return s.ToCamera.Device, s.ToCamera.Volume
	}
	for _, o := range s.LineUp.Outputs {
		if s.LineUp.Feeds.Is(o.Output()) {
			return o.Output(), r.parts.Line.Volume(o.Choice)
		}
	}
	return presets.Output{}, mixer.Setting{}
}

// FeedTrouble is what the sound system does to the camera's feed, or would, that
// makes its meter here wrong: one condition, or none.
func (s *State) FeedTrouble() []verdict.Finding { return s.turned(s.Feed, s.FeedVolume) }

// turned tells that an output is muted, or not as loud as at line-up; nothing
// where that is unknown, or another output was lined up.
func (s *State) turned(output presets.Output, now mixer.Setting) []verdict.Finding {
	then := s.Camera.LinedUpVolume
	switch {
	case now.Muted:
		return []verdict.Finding{verdict.MutedCamera(output.Name)}
	case !s.Camera.LinedUpWith.Is(output) || !now.Volume.Differs(then):
		return nil
	case now.Volume.Uneven() || then.Uneven():
		return []verdict.Finding{verdict.BalanceChanged(output.Name)}
	}
	return []verdict.Finding{verdict.VolumeChanged(output.Name, now.Volume.LoudestDB, then.LoudestDB)}
}
