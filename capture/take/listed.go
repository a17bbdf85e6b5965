package take

import (
	"fmt"
	"path/filepath"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

// Listed is a take as scripts read it. A plain value.
type Listed struct {
	Path      string        `json:"path"`
	Scene     string        `json:"scene"`
	Take      int           `json:"take"`
	RoomTone  bool          `json:"room_tone"`
	Circled   bool          `json:"circled"`
	Note      string        `json:"note"`
	State     State         `json:"state"`
	Verdict   string        `json:"verdict"`
	Reasons   []string      `json:"reasons"`
	Started   string        `json:"started"`
	Length    figure.Figure `json:"length_s"`
	BeforeKey figure.Figure `json:"before_key_s"`
	RateHz    int           `json:"sample_rate_hz"`
	Encoding  string        `json:"encoding"`
	Tracks    []string      `json:"tracks"`
	Levels
	Dropouts int64             `json:"dropout_frames"`
	Lost     int64             `json:"lost_frames"`
	Lag      int64             `json:"lag_frames"`
	Markers  []listedMarker    `json:"markers"`
	Events   []listedEvent     `json:"events"`
	Judged   bool              `json:"judged"`
	Findings []verdict.Finding `json:"findings"`
}

type listedMarker struct {
	At   figure.Figure `json:"at_s"`
	Text string        `json:"text"`
}

type listedEvent struct {
	Time string        `json:"time"`
	At   figure.Figure `json:"at_s"`
	Kind verdict.Code  `json:"kind"`
	Text string        `json:"text"`
}

// iso is a time as JSON has it.
const iso = "2006-01-02T15:04:05.000Z07:00"

// Listed gives the take for scripts, with its verdict.
func (t Take) Listed() Listed {
	word, why := t.Verdict()
	at := func(frame int64) figure.Figure { return figure.Figure(float64(frame) / float64(t.RateHz)) }
	l := Listed{Path: t.Path, Scene: t.Scene, Take: t.Number, RoomTone: t.RoomTone, Circled: t.Circled, Note: t.Note, State: t.State,
		Verdict: word, Reasons: append([]string{}, why...), Started: t.Start(iso, ""), Length: at(t.Frames), BeforeKey: at(t.LeadFrames),
		RateHz: t.RateHz, Encoding: t.Encoding, Tracks: append([]string{}, t.Tracks...),
		Levels: t.Levels, Dropouts: t.Dropouts, Lost: t.Lost, Lag: t.Lag,
		Markers: []listedMarker{}, Events: []listedEvent{}, Judged: t.Judged, Findings: append([]verdict.Finding{}, t.Findings...)}
	for _, m := range t.Markers {
		l.Markers = append(l.Markers, listedMarker{at(m.Frame), m.Text})
	}
	for _, e := range t.Events {
		l.Events = append(l.Events, listedEvent{e.At.Format(iso), at(e.Frame), e.Kind, e.Text})
	}
	return l
}

// Listing is a folder's takes as scripts read them. A plain value.
type Listing struct {
	Takes      []Listed     `json:"takes"`
	Unreadable []Unreadable `json:"unreadable"`
}

// Unreadable is a file that is no take that can be read.
type Unreadable struct {
	Path  string `json:"path"`
	Error string `json:"error"`
}

// NewListing lists takes; what can't be read is named.
func NewListing(found []Found) Listing {
	list := Listing{[]Listed{}, []Unreadable{}}
	for _, f := range found {
		if f.Err != nil {
			list.Unreadable = append(list.Unreadable, Unreadable{f.Take.Path, plain.OneLine(f.Err)})
			continue
		}
		list.Takes = append(list.Takes, f.Take.Listed())
	}
	return list
}

// Rows are a table of takes, the first row its heading, and what to note of
// them; what can't be read is left out.
func Rows(found []Found) (rows [][]string, notes []string) {
	rows = [][]string{{"TAKE", "STARTED", "LENGTH", "CAMERA PEAK", "LOUDNESS", "VERDICT", "CIRCLED", "FILE"}}
	for _, f := range found {
		if f.Err != nil {
			continue
		}
		t, good := f.Take, ""
		if t.Circled {
			good = "yes"
		}
		word, why := t.Verdict()
		rows = append(rows, []string{t.Title(), t.Start("2006-01-02 15:04:05", "–"), fmt.Sprintf("%.1f s", t.Duration().Seconds()),
			t.Levels.CameraPeakDBTP.With("dBTP"), t.Levels.IntegratedLUFS.With("LUFS"), word, good, filepath.Base(t.Path)})
		if len(why) > 0 {
			notes = append(notes, plain.Text(t.Title()+": "+strings.Join(why, "; ")))
		}
	}
	return rows, notes
}
