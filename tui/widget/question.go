package widget

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// Question asks before something that must not happen by accident. enter or
// the key that asked, pressed again, is yes; a key that is held down, and the
// debris of a torn mouse report, are not.
type Question struct {
	text, yes string
	key       string // that asked
	do        func() tea.Cmd
	came      int // frame at which the key came last
	until     int // frame at which the question goes away
}

const (
	AskFor   = 8 * FramesPerSecond
	HeldDown = FramesPerSecond / 2 // a key that comes sooner again is held
)

// NewQuestion asks from a frame on. yes is what enter does, as a verb.
func NewQuestion(key, text, yes string, frame int, do func() tea.Cmd) *Question {
	return &Question{text: text, yes: yes, key: key, do: do, came: frame, until: frame + AskFor}
}

// Over tells that nobody has answered in time.
func (q *Question) Over(frame int) bool { return frame > q.until }

// Answer takes a key; open: the question stays.
func (q *Question) Answer(key string, frame int) (cmd tea.Cmd, open bool) {
	held := key == q.key && frame-q.came < HeldDown
	q.came = frame
	switch {
	case held:
		return nil, true
	case key == "enter", key == q.key:
		return q.do(), false
	}
	return nil, false
}

// Draw writes the question into a row, and the answers whole; press answers yes.
func (q *Question) Draw(f *Frame, row canvas.Rect, press func() tea.Cmd) {
	style := f.Chip(theme.Hot)
	f.Fill(row, ' ', style)
	row = row.Inset(1, 0)
	words, no := "enter "+q.yes, "   esc no"
	x := f.TextIn(row.Left(row.W-canvas.Width(words+no)-3), q.text, style) + 3
	f.TextIn(row.Skip(x-row.X), words+no, style)
	f.Hit(row.Skip(x-row.X).Left(canvas.Width(words)), Click(press))
}
