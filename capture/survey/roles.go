package survey

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/loudness"
	"rollready/dsp/verdict"
)

// Track is what was measured of one channel of a recording.
type Track struct {
	Channel        int           `json:"channel"` // from 1
	Name           string        `json:"name"`
	Role           verdict.Role  `json:"role"`
	SamplePeakDBFS figure.Figure `json:"sample_peak_dbfs"`
	TruePeakDBTP   figure.Figure `json:"true_peak_dbtp"`
	RMSDBFS        figure.Figure `json:"rms_dbfs"`
	DCOffset       figure.Figure `json:"dc_offset"`
	ClippedRuns    int64         `json:"clipped_runs"`
	FlatTops       int64         `json:"flat_tops"`
}

// Part is what was measured of the tracks of one role together.
type Part struct {
	Role         verdict.Role  `json:"role"`
	Channels     []int         `json:"channels"` // of the recording, from 1
	TruePeakDBTP figure.Figure `json:"true_peak_dbtp"`
	loudness.Whole
	NoiseFloorDBFS figure.Figure `json:"noise_floor_dbfs"`
	NoiseFloorDBA  figure.Figure `json:"noise_floor_dba"`
	ClippedRuns    int64         `json:"clipped_runs"`
	Hum            Hum           `json:"hum"`
}

// Name names the tracks: "input tracks 3+4".
func (p Part) Name() string {
	numbers := make([]string, len(p.Channels))
	for i, c := range p.Channels {
		numbers[i] = strconv.Itoa(c)
	}
	name := strings.TrimSpace(string(p.Role) + " track")
	if len(numbers) > 1 {
		name += "s"
	}
	return name + " " + strings.Join(numbers, "+")
}

// Parts gives what was measured together: of a recording whose tracks have no
// roles, all of it.
func (r Result) Parts() []Part {
	if len(r.Roles) > 0 {
		return r.Roles
	}
	all := group{}
	for c := range r.Channels {
		all.Channels = append(all.Channels, c)
	}
	return []Part{all.part(r)}
}

// Weighting says how the channels count in the loudness where that is not
// plain: "" for one or two.
func (r Result) Weighting() string {
	if r.Channels <= 2 {
		return ""
	}
	return fmt.Sprintf("%d channels, all counted alike in the loudness", r.Channels)
}

// tracksOf gives what was measured of each channel, in the recording's order.
func (m *Meter) tracksOf(parts []Result) []Track {
	all := make([]Track, len(m.tracks))
	for i, g := range m.groups {
		r := parts[i]
		for k, c := range g.Channels {
			all[c] = Track{c + 1, m.tracks[c].Name, g.Role, r.SamplePeakDBFS[k], r.TruePeakDBTP[k], r.RMSDBFS[k], r.DCOffset[k], r.ClippedRuns[k], r.FlatTops[k]}
		}
	}
	return all
}

// roles gives what was measured of each role; nothing where there are none.
func (m *Meter) roles(parts []Result) []Part {
	all := []Part{}
	if m.plain() {
		return all
	}
	for i, g := range m.groups {
		all = append(all, g.part(parts[i]))
	}
	return all
}

func (g *group) part(r Result) Part {
	return Part{g.Role, g.columns(), figure.Highest(r.TruePeakDBTP), r.Whole, r.NoiseFloorDBFS, r.NoiseFloorDBA, Total(r.ClippedRuns), r.Hum}
}

// plain tells that no track has a role.
func (m *Meter) plain() bool { return len(m.groups) == 1 && m.groups[0].Role == "" }

// columns are the group's channels as people count them.
func (g *group) columns() []int {
	from1 := slices.Clone(g.Channels)
	for i := range from1 {
		from1[i]++
	}
	return from1
}

// events are those of all roles, by the channels of the recording.
func (m *Meter) events(parts []Result) (all []Event) {
	for i, g := range m.groups {
		for _, e := range parts[i].Events {
			switch {
			case e.Channel > 0:
				e.Channel = g.Channels[e.Channel-1] + 1
			case i > 0: // all tracks lie over each other
				continue
			}
			if g.Role == verdict.Processed && e.Code == verdict.InputClipped {
				e.Code = verdict.OutputClipped
			}
			all = append(all, e)
		}
	}
	return all
}
