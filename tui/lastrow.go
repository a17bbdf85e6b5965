package tui

import (
	"slices"

	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/keys"
	"rollready/tui/theme"
)

// drawLast shows the open field, else a message, else the main keys.
func (r *root) drawLast(row canvas.Rect, s desk.Screen) {
	f, d := &r.frame, r.desk
	if d.Question != nil {
		d.Question.Draw(f, row, func() tea.Cmd { return d.Answer("enter") })
		return
	}
	if d.Prompt != nil {
		d.Prompt.Draw(f, row)
		return
	}
	if d.Message.Text != "" {
		style := canvas.Style{FG: theme.Ink, BG: theme.Panel, Attr: canvas.Bold}
		if d.Message.Bad {
			style = f.Chip(theme.Hot)
		}
		f.Fill(row, ' ', style)
		text, area := d.Message.Text, row.Inset(1, 0)
		if d.Message.Bad {
			text = canvas.CutMiddle(text, area.W)
		}
		f.TextIn(area, text, style)
		return
	}
	r.drawKeys(row, s)
}

// drawKeys names the main keys in the last row, those of the screen on the
// left, those that mean the same everywhere on the right. Each answers the
// mouse as it does the key.
func (r *root) drawKeys(row canvas.Rect, s desk.Screen) {
	end := row.X + row.W - 1
	for _, table := range slices.Backward(r.tables[:]) {
		for i := range slices.Backward(table) {
			if b := &table[i]; b.Label() != "" {
				end -= wordCells(b)
				r.drawKey(end, row.Y, b, r.frame.Style(theme.Dim))
				end -= 3
			}
		}
	}
	x, table := row.X+1, s.Keys()
	for i := range table {
		if b := &table[i]; b.Label() != "" && x+wordCells(b) <= end+1 {
			x = r.drawKey(x, row.Y, b, r.frame.Strong(theme.Ink)) + 3
		}
	}
}

func wordCells(b *keys.Binding) int {
	n := canvas.Width(b.Label())
	for _, s := range b.Symbols() {
		n += canvas.Width(s) + 1
	}
	return n
}

// drawKey writes a key with its word and gives the x after it. Of several keys
// each symbol does its own; the word does what the first does.
func (r *root) drawKey(x, y int, b *keys.Binding, style canvas.Style) int {
	f := &r.frame
	for i, symbol := range b.Symbols() {
		from := x
		x = f.Text(x, y, symbol, style) + 1
		f.Hit(canvas.Rect{X: from, Y: y, W: x - from, H: 1}, keyWord{b, i})
	}
	from := x
	x = f.Text(x, y, b.Label(), f.Style(theme.Dim))
	f.Hit(canvas.Rect{X: from, Y: y, W: x - from, H: 1}, keyWord{b, 0})
	return x
}

// keyWord is a key in the last row: a press does the same.
type keyWord struct {
	of  *keys.Binding
	key int
}

// Press does it.
func (k keyWord) Press(int, int) tea.Cmd { return k.of.Do(k.of.Keys()[k.key]) }

// Drag does nothing.
func (keyWord) Drag(int, int) {}

// Wheel does nothing.
func (keyWord) Wheel(int) {}
