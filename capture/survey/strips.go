package survey

import (
	"fmt"
	"math"

	"rollready/dsp/figure"
)

// Strip is what was measured of one person's microphone.
type Strip struct {
	Name           string        `json:"name"`
	Channel        int           `json:"channel"` // of the recording, from 1
	SamplePeakDBFS figure.Figure `json:"sample_peak_dbfs"`
	TruePeakDBTP   figure.Figure `json:"true_peak_dbtp"`
	RMSDBFS        figure.Figure `json:"rms_dbfs"`
	VoiceDBFS      figure.Figure `json:"voice_dbfs"` // over its noise floor
	NoiseFloorDBFS figure.Figure `json:"noise_floor_dbfs"`
	ClippedRuns    int64         `json:"clipped_runs"`
	FlatTops       int64         `json:"flat_tops"`
}

// strips gives the microphones of the tracks that count, with the names that
// these have.
func (m *Meter) strips(parts []Result) (all []Strip) {
	g, r := m.groups[0], &parts[0]
	for i, c := range g.Channels {
		v := g.found.voice[i]
		s := Strip{m.tracks[c].Who(), c + 1, r.SamplePeakDBFS[i], r.TruePeakDBTP[i], r.RMSDBFS[i], figure.Figure(math.Inf(-1)),
			figure.Figure(v.floorDBFS), r.ClippedRuns[i], r.FlatTops[i]}
		if v.overRoomDBA > 0 {
			s.VoiceDBFS = figure.Figure(v.dBFS)
		}
		all = append(all, s)
	}
	return all
}

// Name says who speaks into each microphone; names that are not given, or
// empty, stay.
func (r *Result) Name(names []string) error {
	if len(names) > len(r.microphones) {
		return fmt.Errorf("names given: %d, channels to name in %s: %d: give as many, or fewer", len(names), r.Path, len(r.microphones))
	}
	for i, name := range names {
		if name != "" {
			r.microphones[i].Name = name
		}
	}
	r.named()
	return nil
}

// named makes the microphones strips where any has a name.
func (r *Result) named() {
	r.Strips = []Strip{}
	for _, s := range r.microphones {
		if s.Name != "" {
			r.Strips = r.microphones
		}
	}
}
