package widget

import (
	"strings"

	"charm.land/bubbles/v2/textinput"
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// Prompt is a field in the last row. While it is open it gets all keys.
type Prompt struct {
	label  string
	Field  textinput.Model
	accept func(string) (tea.Cmd, error)
	wrong  string
}

func NewPrompt(label, text string, accept func(string) (tea.Cmd, error)) *Prompt {
	f := textinput.New()
	f.CharLimit = 120
	f.SetValue(text)
	f.Focus()
	return &Prompt{label: label, Field: f, accept: accept}
}

// Key answers a key; done says that the field closes.
func (p *Prompt) Key(m tea.KeyPressMsg) (cmd tea.Cmd, done bool) {
	switch m.String() {
	case "esc":
		return nil, true
	case "enter":
		cmd, err := p.accept(strings.TrimSpace(p.Field.Value()))
		if err != nil {
			p.wrong = err.Error()
			return nil, false
		}
		return cmd, true
	}
	p.wrong = ""
	p.Field, _ = p.Field.Update(m)
	return nil, false
}

func (p *Prompt) Draw(f *Frame, row canvas.Rect) {
	f.Fill(row, ' ', canvas.Style{FG: theme.Ink, BG: theme.Panel})
	ink := canvas.Style{FG: theme.Ink, BG: theme.Panel}
	label, style := p.label, ink.With(canvas.Bold)
	if p.wrong != "" { // what is wrong takes the place of the question
		label, style = " "+p.wrong+" ", f.Chip(theme.Hot)
	}
	x := f.TextIn(row.Skip(1), label, style) + 2
	value := []rune(p.Field.Value())
	at := min(p.Field.Position(), len(value))
	x = f.Text(x, row.Y, string(value[:at]), ink)
	under := " "
	if at < len(value) {
		under = string(value[at])
	}
	x = f.Text(x, row.Y, under, ink.With(canvas.Reverse))
	if at < len(value) {
		x = f.Text(x, row.Y, string(value[at+1:]), ink)
	}
	rest := canvas.Rect{X: x + 2, Y: row.Y, W: row.X + row.W - x - 2, H: 1}
	f.TextIn(rest, "enter takes it, esc leaves it", canvas.Style{FG: theme.Dim, BG: theme.Panel})
}
