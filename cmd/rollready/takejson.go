package main

import (
	"rollready/capture/take"
	"rollready/dsp/figure"
	"rollready/dsp/verdict"
)

// takeJSON is a take as scripts read it.
type takeJSON struct {
	Path       string            `json:"path"`
	Scene      string            `json:"scene"`
	Take       int               `json:"take"`
	RoomTone   bool              `json:"room_tone"`
	Circled    bool              `json:"circled"`
	Note       string            `json:"note"`
	State      take.State        `json:"state"`
	Verdict    string            `json:"verdict"`
	Reasons    []string          `json:"reasons"`
	Started    string            `json:"started"`
	Length     figure.Figure     `json:"length_s"`
	BeforeKey  figure.Figure     `json:"before_key_s"`
	RateHz     int               `json:"sample_rate_hz"`
	Encoding   string            `json:"encoding"`
	Tracks     []string          `json:"tracks"`
	Input      figure.Figure     `json:"input_peak_dbtp"`
	Output     figure.Figure     `json:"output_peak_dbtp"`
	Camera     figure.Figure     `json:"camera_peak_dbtp"`
	Integrated figure.Figure     `json:"integrated_lufs"`
	Range      figure.Figure     `json:"loudness_range_lu"`
	Momentary  figure.Figure     `json:"max_momentary_lufs"`
	ShortTerm  figure.Figure     `json:"max_short_term_lufs"`
	NoiseFloor figure.Figure     `json:"noise_floor_dbfs"`
	Clips      int64             `json:"clips"`
	Dropouts   int64             `json:"dropout_frames"`
	Lost       int64             `json:"lost_frames"`
	Lag        int64             `json:"lag_frames"`
	Markers    []markerJSON      `json:"markers"`
	Events     []eventJSON       `json:"events"`
	Judged     bool              `json:"judged"`
	Findings   []verdict.Finding `json:"findings"`
}

type markerJSON struct {
	At   figure.Figure `json:"at_s"`
	Text string        `json:"text"`
}

type eventJSON struct {
	Time string        `json:"time"`
	At   figure.Figure `json:"at_s"`
	Kind verdict.Code  `json:"kind"`
	Text string        `json:"text"`
}

// iso is a time as JSON has it.
const iso = "2006-01-02T15:04:05.000Z07:00"

func newTakeJSON(t take.Take) takeJSON {
	word, why := t.Verdict()
	l := t.Levels
	at := func(frame int64) figure.Figure { return figure.Figure(float64(frame) / float64(t.RateHz)) }
	j := takeJSON{Path: t.Path, Scene: t.Scene, Take: t.Number, RoomTone: t.RoomTone, Circled: t.Circled, Note: t.Note, State: t.State,
		Verdict: word, Reasons: append([]string{}, why...), Started: t.Start(iso, ""), Length: at(t.Frames), BeforeKey: at(t.LeadFrames),
		RateHz: t.RateHz, Encoding: t.Encoding, Tracks: append([]string{}, t.Tracks...),
		Input: figure.Figure(l.InputPeakDBTP), Output: figure.Figure(l.OutputPeakDBTP), Camera: figure.Figure(l.CameraPeakDBTP),
		Integrated: figure.Figure(l.IntegratedLUFS), Range: figure.Figure(l.RangeLU), Momentary: figure.Figure(l.MaxMomentaryLUFS), ShortTerm: figure.Figure(l.MaxShortTermLUFS),
		NoiseFloor: figure.Figure(l.NoiseFloorDBFS), Clips: l.Clips, Dropouts: t.Dropouts, Lost: t.Lost, Lag: t.Lag,
		Markers: []markerJSON{}, Events: []eventJSON{}, Judged: t.Judged, Findings: append([]verdict.Finding{}, t.Findings...)}
	for _, m := range t.Markers {
		j.Markers = append(j.Markers, markerJSON{at(m.Frame), m.Text})
	}
	for _, e := range t.Events {
		j.Events = append(j.Events, eventJSON{e.At.Format(iso), at(e.Frame), e.Kind, e.Text})
	}
	return j
}
