package main

import (
	"fmt"
	"math"
	"strings"

	"rollready/capture/session"
	"rollready/dsp"
	"rollready/dsp/bands"
)

// watchLine is one object that watch --json prints.
type watchLine struct {
	ElapsedS number        `json:"elapsed_s"`
	Source   string        `json:"source"`
	Input    []levelJSON   `json:"input"`
	Output   []levelJSON   `json:"output"`
	Camera   []cameraLevel `json:"camera"`
	Bands    []bandLevel   `json:"bands"`
	Loudness loudnessJSON  `json:"loudness"`
	Dropouts int64         `json:"dropouts"`
}

type levelJSON struct {
	Peak        number `json:"peak_dbfs"`
	Hold        number `json:"hold_dbfs"`
	TruePeak    number `json:"true_peak_dbtp"`
	RMS         number `json:"rms_dbfs"`
	ClippedRuns int64  `json:"clipped_runs"`
}

type cameraLevel struct {
	Peak     number `json:"peak_dbfs"`
	Hold     number `json:"hold_dbfs"`
	Headroom number `json:"headroom_db"`
	Zone     string `json:"zone"`
}

type bandLevel struct {
	Nominal number `json:"nominal_hz"`
	Level   number `json:"level_dbfs"`
	Hold    number `json:"hold_dbfs"`
}

type loudnessJSON struct {
	Momentary  number `json:"momentary_lufs"`
	ShortTerm  number `json:"short_term_lufs"`
	Integrated number `json:"integrated_lufs"`
}

func newWatchLine(r dsp.Reading, s session.Status) watchLine {
	line := watchLine{ElapsedS: number(seconds(r)), Source: s.Source, Dropouts: s.Dropouts, Bands: []bandLevel{},
		Loudness: loudnessJSON{number(r.Loudness.MomentaryLUFS), number(r.Loudness.ShortTermLUFS), number(r.Loudness.IntegratedLUFS)}}
	for c := range r.Channels {
		line.Input = append(line.Input, newLevel(r.Input[c]))
		line.Output = append(line.Output, newLevel(r.Output[c]))
		cam := r.Camera[c]
		line.Camera = append(line.Camera, cameraLevel{number(cam.PeakDBFS), number(cam.HoldDBFS), number(cam.HeadroomDB), string(cam.Zone)})
	}
	for i, band := range r.Bands[:r.BandsUsable] {
		line.Bands = append(line.Bands, bandLevel{number(bands.At(i).NominalHz), number(band.LevelDBFS), number(band.HoldDBFS)})
	}
	return line
}

func newLevel(l dsp.Level) levelJSON {
	return levelJSON{number(l.PeakDBFS), number(l.HoldDBFS), number(l.TruePeakDBTP), number(l.RMSDBFS), l.ClippedRuns}
}

// seconds is the time metered.
func seconds(r dsp.Reading) float64 { return float64(r.Frames) / float64(max(1, r.RateHz)) }

// watchText is one line for a person. Channels stand side by side.
func watchText(r dsp.Reading, isDemo bool) string {
	var in, cam, zones []string
	var clipped int64
	headroom := math.Inf(1)
	for c := range r.Channels {
		in = append(in, figure(r.Input[c].PeakDBFS))
		cam = append(cam, figure(r.Camera[c].PeakDBFS))
		zones = append(zones, string(r.Camera[c].Zone))
		headroom = min(headroom, r.Camera[c].HeadroomDB)
		clipped += r.Input[c].ClippedRuns
	}
	label := ""
	if isDemo {
		label = "DEMO  "
	}
	return fmt.Sprintf("%s%8.2f s  input %s dBFS  camera %s dBFS %s  headroom %s dB  loudness %s LUFS  clipped %d",
		label, seconds(r), strings.Join(in, " "), strings.Join(cam, " "), strings.Join(zones, " "),
		figure(headroom), figure(r.Loudness.MomentaryLUFS), clipped)
}

// figure is a level with one decimal, in a steady width.
func figure(x float64) string {
	switch {
	case math.IsInf(x, -1):
		return "  -inf"
	case math.IsInf(x, 1):
		return "   inf"
	}
	return fmt.Sprintf("%6.1f", x)
}
