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
	fresh  bool // what stands there was given: typing takes its place
	accept func(string) (tea.Cmd, error)
	wrong  string
}

// NewPrompt opens a field with a text in it that the first letter typed takes
// the place of; any other key begins to change it. accept is called with what
// stands there at enter; its error keeps the field open.
func NewPrompt(label, text string, accept func(string) (tea.Cmd, error)) *Prompt {
	f := textinput.New()
	f.CharLimit = 120
	f.SetValue(text)
	f.Focus()
	return &Prompt{label: label, Field: f, fresh: text != "", accept: accept}
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
	case "backspace", "delete":
		p.typed(m, p.fresh)
	default:
		p.typed(m, p.fresh && m.Text != "")
	}
	return nil, false
}

// Paste takes a text as if it were typed.
func (p *Prompt) Paste(m tea.PasteMsg) { p.typed(m, p.fresh) }

// typed changes the text, or begins one anew.
func (p *Prompt) typed(m tea.Msg, anew bool) {
	if anew {
		p.Field.SetValue("")
	}
	p.fresh, p.wrong = false, ""
	p.Field, _ = p.Field.Update(m)
}

// The least cells that what is typed has, and while it is wrong.
const (
	leastField = 24
	wrongField = 8
)

// Draw writes the field into a row. What is typed has as much of it as the label
// leaves, but never too little, and moves along with the cursor where that is not
// enough; the words for the keys have what is left.
func (p *Prompt) Draw(f *Frame, row canvas.Rect) {
	ink := canvas.Style{FG: theme.Ink, BG: theme.Panel}
	f.Fill(row, ' ', ink)
	row = row.Inset(1, 0)
	label, style, least, cut := p.label, ink.With(canvas.Bold), leastField, canvas.Cut
	if p.wrong != "" { // what is wrong takes the place of the question
		label, style, least, cut = " "+p.wrong+" ", f.Chip(theme.Hot), wrongField, canvas.CutMiddle
	}
	value := []rune(p.Field.Value() + " ")
	at := min(p.Field.Position(), len(value)-1)
	room := min(canvas.Width(string(value)), max(row.W-canvas.Width(label)-2, min(least, row.W/2)))
	x := f.Text(row.X, row.Y, cut(label, row.W-room-2), style) + 2
	for canvas.Width(string(value[:at+1])) > room {
		value, at = value[1:], at-1
	}
	for canvas.Width(string(value)) > room {
		value = value[:len(value)-1]
	}
	if p.fresh {
		x = f.Text(x, row.Y, strings.TrimSuffix(string(value), " "), ink.With(canvas.Reverse)) + 1
	} else {
		x = f.Text(x, row.Y, string(value[:at]), ink)
		x = f.Text(x, row.Y, string(value[at]), ink.With(canvas.Reverse))
		x = f.Text(x, row.Y, string(value[at+1:]), ink)
	}
	if rest := row.Skip(x + 1 - row.X); rest.W >= canvas.Width(keysOfPrompt) {
		f.TextIn(rest, keysOfPrompt, canvas.Style{FG: theme.Dim, BG: theme.Panel})
	}
}

const keysOfPrompt = "enter takes it, esc leaves it"
