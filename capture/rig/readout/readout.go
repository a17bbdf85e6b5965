// Package readout writes a rig's state as one line, for scripts and for people.
package readout

import (
	"rollready/capture/rig"
	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/camera"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

// Line is the JSON object of one moment.
type Line struct {
	ElapsedS figure.Figure `json:"elapsed_s"`
	Source   string        `json:"source"`
	SourceID *string       `json:"source_id"` // null where it is no device
	Input    []levelJSON   `json:"input"`
	Output   []levelJSON   `json:"output"`
	Camera   []cameraJSON  `json:"camera"`
	Bands    []bandJSON    `json:"bands"`
	Loudness loudnessJSON  `json:"loudness"`
	Dropouts int64         `json:"dropouts"`
	Strips   []stripJSON   `json:"strips"`
	Between  *betweenJSON  `json:"between_strips,omitempty"` // the first two, once two people are heard

	Advice     *saidJSON  `json:"advice"` // null before anything was heard
	Conditions []saidJSON `json:"conditions"`
}

// saidJSON is a finding in one line.
type saidJSON struct {
	Code     verdict.Code     `json:"code"`
	Severity verdict.Severity `json:"severity"`
	Strip    int              `json:"strip,omitempty"` // the microphone that it is about, from 1
	Name     string           `json:"name,omitempty"`  // who speaks into it
	Text     string           `json:"text"`
}

func said(f verdict.Finding) saidJSON {
	return saidJSON{f.Code, f.Severity, f.Channel, plain.Text(f.Name), plain.Text(f.Text())}
}

type levelJSON struct {
	Peak        figure.Figure `json:"peak_dbfs"`
	Hold        figure.Figure `json:"hold_dbfs"`
	TruePeak    figure.Figure `json:"true_peak_dbtp"`
	RMS         figure.Figure `json:"rms_dbfs"`
	ClippedRuns int64         `json:"clipped_runs"`
}

type cameraJSON struct {
	Peak     figure.Figure `json:"peak_dbfs"`
	Hold     figure.Figure `json:"hold_dbfs"`
	Headroom figure.Figure `json:"headroom_db"`
	Least    figure.Figure `json:"least_headroom_db"`
	Overs    int64         `json:"overs"`
	Zone     *camera.Zone  `json:"zone"` // null: nobody spoke yet
}

type bandJSON struct {
	Nominal figure.Figure `json:"nominal_hz"`
	Level   figure.Figure `json:"level_dbfs"`
	Hold    figure.Figure `json:"hold_dbfs"`
}

type loudnessJSON struct {
	Momentary  figure.Figure `json:"momentary_lufs"`
	ShortTerm  figure.Figure `json:"short_term_lufs"`
	Integrated figure.Figure `json:"integrated_lufs"`
}

// Of gives the line of a state.
func Of(s rig.State) Line {
	r := s.Reading
	line := Line{ElapsedS: figure.Figure(Seconds(r)), Source: s.Status.Source, Dropouts: s.Status.Dropouts, Bands: []bandJSON{}, Conditions: []saidJSON{},
		Loudness: loudnessJSON{figure.Figure(r.Loudness.MomentaryLUFS), figure.Figure(r.Loudness.ShortTermLUFS), figure.Figure(r.Loudness.IntegratedLUFS)}}
	if s.Status.Key != "" {
		line.SourceID = &s.Status.Key
	}
	if s.Sentence.Code != "" {
		advice := said(s.Sentence)
		line.Advice = &advice
	}
	for _, c := range s.Conditions {
		line.Conditions = append(line.Conditions, said(c))
	}
	for c := range r.Channels {
		line.Input = append(line.Input, newLevel(r.Input[c]))
		line.Output = append(line.Output, newLevel(r.Output[c]))
		line.Strips = append(line.Strips, newStrip(&s, c))
	}
	for _, cam := range r.Camera[:r.Fed] {
		line.Camera = append(line.Camera, cameraJSON{figure.Figure(cam.PeakDBFS), figure.Figure(cam.HoldDBFS), figure.Figure(cam.HeadroomDB), figure.Figure(cam.LeastHeadroomDB), cam.Overs, judgedZone(cam.Zone)})
	}
	line.Between = between(&s)
	for i, band := range r.Bands[:r.BandsUsable] {
		line.Bands = append(line.Bands, bandJSON{figure.Figure(bands.At(i).NominalHz), figure.Figure(band.LevelDBFS), figure.Figure(band.HoldDBFS)})
	}
	return line
}

// judgedZone gives a zone, nil while there is none.
func judgedZone(z camera.Zone) *camera.Zone {
	if z == camera.Unjudged {
		return nil
	}
	return &z
}

func newLevel(l dsp.Level) levelJSON {
	return levelJSON{figure.Figure(l.PeakDBFS), figure.Figure(l.HoldDBFS), figure.Figure(l.TruePeakDBTP), figure.Figure(l.RMSDBFS), l.ClippedRuns}
}
