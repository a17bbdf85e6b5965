package main

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rollready/capture"
	"rollready/capture/rig"
	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/camera"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

// watchLine is one object that watch --json prints.
type watchLine struct {
	ElapsedS figure.Figure `json:"elapsed_s"`
	Source   string        `json:"source"`
	Input    []levelJSON   `json:"input"`
	Output   []levelJSON   `json:"output"`
	Camera   []cameraLevel `json:"camera"`
	Bands    []bandLevel   `json:"bands"`
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
	Text     string           `json:"text"`
}

func said(f verdict.Finding) saidJSON { return saidJSON{f.Code, f.Severity, plain.Text(f.Text())} }

type levelJSON struct {
	Peak        figure.Figure `json:"peak_dbfs"`
	Hold        figure.Figure `json:"hold_dbfs"`
	TruePeak    figure.Figure `json:"true_peak_dbtp"`
	RMS         figure.Figure `json:"rms_dbfs"`
	ClippedRuns int64         `json:"clipped_runs"`
}

type cameraLevel struct {
	Peak     figure.Figure `json:"peak_dbfs"`
	Hold     figure.Figure `json:"hold_dbfs"`
	Headroom figure.Figure `json:"headroom_db"`
	Least    figure.Figure `json:"least_headroom_db"`
	Overs    int64         `json:"overs"`
	Zone     *camera.Zone  `json:"zone"` // null: nobody spoke yet
}

type bandLevel struct {
	Nominal figure.Figure `json:"nominal_hz"`
	Level   figure.Figure `json:"level_dbfs"`
	Hold    figure.Figure `json:"hold_dbfs"`
}

type loudnessJSON struct {
	Momentary  figure.Figure `json:"momentary_lufs"`
	ShortTerm  figure.Figure `json:"short_term_lufs"`
	Integrated figure.Figure `json:"integrated_lufs"`
}

func newWatchLine(s rig.State) watchLine {
	r := s.Reading
	line := watchLine{ElapsedS: figure.Figure(seconds(r)), Source: s.Status.Source, Dropouts: s.Status.Dropouts, Bands: []bandLevel{}, Conditions: []saidJSON{},
		Loudness: loudnessJSON{figure.Figure(r.Loudness.MomentaryLUFS), figure.Figure(r.Loudness.ShortTermLUFS), figure.Figure(r.Loudness.IntegratedLUFS)}}
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
		line.Camera = append(line.Camera, cameraLevel{figure.Figure(cam.PeakDBFS), figure.Figure(cam.HoldDBFS), figure.Figure(cam.HeadroomDB), figure.Figure(cam.LeastHeadroomDB), cam.Overs, judgedZone(cam.Zone)})
	}
	line.Between = between(&s)
	for i, band := range r.Bands[:r.BandsUsable] {
		line.Bands = append(line.Bands, bandLevel{figure.Figure(bands.At(i).NominalHz), figure.Figure(band.LevelDBFS), figure.Figure(band.HoldDBFS)})
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

// seconds is the time metered.
func seconds(r dsp.Reading) float64 { return float64(r.Frames) / float64(max(1, r.RateHz)) }

// changeText is what a person who hears the lines must know: where the voice
// lies, what to do, and what else is wrong. The key is another one where that is
// news, and not only a figure has moved.
func changeText(s rig.State) (words, key string) {
	var parts, codes []string
	for _, cam := range s.Reading.Camera[:s.Reading.Fed] {
		if zone := string(cam.Zone); zone != "" && !slices.Contains(parts, "camera "+zone+".") {
			parts = append(parts, "camera "+zone+".")
		}
	}
	parts = append(parts, plain.Text(s.Sentence.Text()))
	codes = slices.Clone(parts)
	for _, c := range s.Conditions {
		if c.Code != s.Sentence.Code {
			parts, codes = append(parts, plain.Text(c.Message)), append(codes, string(c.Code))
		}
	}
	return strings.Join(parts, " "), strings.Join(codes, " ")
}

// watchText is one line for a person. Channels stand side by side.
func watchText(s rig.State) string {
	r := s.Reading
	var in, cam, zones []string
	var clipped int64
	headroom := math.Inf(1)
	for c := range r.Channels {
		in = append(in, figure.Sprintf("%6.1f", r.Input[c].PeakDBFS))
		clipped += r.Input[c].ClippedRuns
	}
	for c := range r.Fed {
		cam = append(cam, figure.Sprintf("%6.1f", r.Camera[c].PeakDBFS))
		zones = append(zones, cmp.Or(string(r.Camera[c].Zone), "unjudged"))
		headroom = min(headroom, r.Camera[c].HeadroomDB)
	}
	label := ""
	if s.Status.Kind == capture.Demo {
		label = "DEMO  "
	}
	return figure.Sprintf("%s%8.2f s  input %s dBFS  camera %s dBFS %s  headroom %6.1f dB  loudness %6.1f LUFS  clipped %d  %s",
		label, seconds(r), strings.Join(in, " "), strings.Join(cam, " "), strings.Join(zones, " "),
		headroom, r.Loudness.MomentaryLUFS, clipped, plain.Text(s.Sentence.Text()))
}
