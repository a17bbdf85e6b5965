package tui

import (
	"math"
	"strconv"
	"time"

	"rollready/capture"
	"rollready/capture/rig/guided"
	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/finding"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// Checker is a guided check that runs.
type Checker interface {
	Progress() guided.Progress // returns at once
	Repeat(guided.Step)
	Result(guided.Setup) (guided.Outcome, error)
	End() // returns at once
}

// checked is the last check. It holds for the input it was made with.
type checked struct {
	guided.Outcome
	at     time.Time
	chain  chain.Settings // judged with these
	camera camera.Scale
	input  inputKey
}

// inputKey tells one input from another.
type inputKey struct {
	source       string
	kind         capture.Kind
	hz, channels int
	picked       string
}

func (d *Desk) inputKey() inputKey {
	s := d.Status
	return inputKey{s.Source, s.Kind, s.SourceHz, s.Channels, d.Settings.Channels}
}

// forgetChecked drops a check of another input: room and voice were heard by
// another microphone.
func (d *Desk) forgetChecked() {
	if d.checked != nil && d.checked.input != d.inputKey() {
		d.checked = nil
	}
}

// roomTone is the measured room tone as the bands show it now: at the input,
// or through the chain's response; NaN where it is not known.
func (d *Desk) roomTone(band int) float64 {
	if d.checked == nil || len(d.checked.Quiet) == 0 {
		return math.NaN()
	}
	list, v := d.checked.Quiet, d.Settings.View
	of := list[len(list)-1]
	if c := int(v.BandChannel); c >= 0 && c < len(list)-1 {
		of = list[c]
	}
	if v.BandTap == dsp.TapInput {
		return of[band]
	}
	return of[band] + d.Settings.Chain.ResponseDB(bands.At(band).MidHz, d.Reading.RateHz)
}

// ago says how long something is past.
func ago(t time.Duration) string {
	switch {
	case t < time.Minute:
		return "just now"
	case t < time.Hour:
		return strconv.Itoa(int(t.Minutes())) + " min ago"
	case t < 48*time.Hour:
		return strconv.Itoa(int(t.Hours())) + " h ago"
	}
	return strconv.Itoa(int(t.Hours()/24)) + " days ago"
}

// verdictWord is a verdict on its colour.
func verdictWord(f *Frame, v finding.Verdict) (string, canvas.Style) {
	switch v {
	case finding.Ready:
		return "READY", f.Chip(theme.Target)
	case finding.Cautious:
		return "CAUTION", f.Chip(theme.Hot)
	}
	return "NOT READY", f.Chip(theme.Over)
}

// drawChecked writes the last verdict and its age at the right end of a row,
// and gives the cells it took. A verdict on settings that changed since has no
// colour.
func drawChecked(f *Frame, row canvas.Rect, d *Desk, plain canvas.Style) int {
	c := d.checked
	if c == nil {
		return 0
	}
	word, style := verdictWord(f, c.Verdict)
	age := " " + ago(d.opt.Now().Sub(c.at))
	if c.chain != d.Settings.Chain || c.camera != d.Camera.Scale {
		style, age = plain, " but changed since"
	}
	word = " " + word + " "
	if row.W >= 100 {
		defer func(w int) { f.TextRight(row.Left(row.W-w-1), "check", plain) }(canvas.Width(word) + canvas.Width(age))
	}
	w := canvas.Width(word) + canvas.Width(age)
	x := f.TextIn(row.Right(w), word, style)
	f.Text(x, row.Y, age, plain)
	return w + 2
}
