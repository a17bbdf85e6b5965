package tui

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// question asks before something that must not happen by accident. enter or
// the key that asked, pressed again, is yes; a key that is held down, and the
// debris of a torn mouse report, are not.
type question struct {
	text, yes string
	key       string // that asked
	do        func() tea.Cmd
	came      int // frame at which the key came last
	until     int // frame at which the question goes away
}

const (
	askFor   = 8 * framesPerSecond
	heldDown = framesPerSecond / 2 // a key that comes sooner again is held
)

// Confirm asks a question in the last row. yes is what enter does, as a verb.
func (d *Desk) Confirm(key, text, yes string, do func() tea.Cmd) tea.Cmd {
	d.question = &question{text: text, yes: yes, key: key, do: do, came: d.frames, until: d.frames + askFor}
	return nil
}

// answer takes a key while a question is open.
func (d *Desk) answer(key string) tea.Cmd {
	q := d.question
	held := key == q.key && d.frames-q.came < heldDown
	q.came = d.frames
	switch {
	case held:
		return nil
	case key == "enter", key == q.key:
		d.question = nil
		return q.do()
	}
	d.question = nil
	return nil
}

func (q *question) draw(f *Frame, row canvas.Rect, d *Desk) {
	style := f.Chip(theme.Hot)
	f.Fill(row, ' ', style)
	x := f.TextIn(row.Inset(1, 0), q.text, style) + 3
	rest := canvas.Rect{X: x, Y: row.Y, W: row.X + row.W - x, H: 1}
	words := "enter " + q.yes
	f.TextIn(rest, words+"   esc no", style)
	f.Hit(rest.Left(canvas.Width(words)), Click(func() tea.Cmd { return d.answer("enter") }))
}
