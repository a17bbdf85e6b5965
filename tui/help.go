package tui

import (
	"slices"

	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/keys"
	"rollready/tui/theme"
)

// drawHelp lays the keys of the screen over it, to be scrolled where they are
// many.
func (r *root) drawHelp(body canvas.Rect, s desk.Screen) {
	f := &r.frame
	const press = 14
	panel := canvas.Style{FG: theme.Ink, BG: theme.Panel}
	f.Hits = f.Hits[:0]
	f.Fill(body, ' ', panel)
	in := body.Inset(2, 0).Rows(1, body.H-1)
	lines := helpLines(slices.Concat(s.Keys(), r.tables[1], r.tables[0]), max(in.W-press, 1))
	r.lines.Fit(in.Rows(2, in.H-2), len(lines))
	title := "Keys of " + s.Name() + "; any key goes back"
	switch {
	case r.lines.Below():
		title = "Keys of " + s.Name() + "; any key goes on"
	case r.lines.Above():
		title = "Keys of " + s.Name() + "; any key but ↑ ↓ goes back"
	}
	f.TextIn(in, title, panel.With(canvas.Bold))
	r.lines.Draw(f, func(i int, at canvas.Rect) {
		f.TextIn(at.Left(press-1), lines[i].keys, panel.With(canvas.Bold))
		f.TextIn(at.Skip(press), lines[i].does, panel)
	})
}

// helpLine is a line of the key help.
type helpLine struct{ keys, does string }

// helpLines breaks what the keys do into lines of so many cells.
func helpLines(table keys.Table, cells int) (lines []helpLine) {
	for _, b := range table {
		symbols := b.Title()
		for _, line := range format.Wrap(b.Does, cells) {
			lines = append(lines, helpLine{symbols, line})
			symbols = ""
		}
	}
	return lines
}
