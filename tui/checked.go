package tui

import (
	"strconv"
	"time"

	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

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
func verdictWord(f *Frame, v verdict.Verdict) (string, canvas.Style) {
	switch v {
	case verdict.Ready:
		return "READY", f.Chip(theme.Target)
	case verdict.Cautious:
		return "CAUTION", f.Chip(theme.Hot)
	}
	return "NOT READY", f.Chip(theme.Over)
}

// drawChecked writes the last verdict and its age at the right end of a row,
// and gives the cells it took. A verdict on settings that changed since has no
// colour.
func drawChecked(f *Frame, row canvas.Rect, d *Desk, plain canvas.Style) int {
	c := d.Checked
	if c == nil {
		return 0
	}
	word, style := verdictWord(f, c.Verdict)
	age := " " + ago(d.At.Sub(c.At))
	if d.Changed(c) {
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
