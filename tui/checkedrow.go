package tui

import (
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// drawChecked writes the last verdict and its age at the right end of a row,
// and gives the cells it took. A verdict on settings that changed since has no
// colour.
func drawChecked(f *widget.Frame, row canvas.Rect, d *desk.Desk, plain canvas.Style) int {
	c := d.Checked
	if c == nil {
		return 0
	}
	word, style := view.VerdictWord(f, c.Verdict)
	age := " " + format.Ago(d.At.Sub(c.At))
	if d.Changed(c) {
		style, age = plain, " but changed since"
	}
	word = " " + word + " "
	w := canvas.Width(word + age)
	x := f.TextIn(row.Right(w), word, style)
	f.Text(x, row.Y, age, plain)
	if row.W >= 100 {
		const what = "check"
		f.TextRight(row.Left(row.W-w-1), what, plain)
		w += len(what) + 1
	}
	return w + 2
}
