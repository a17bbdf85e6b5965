package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

const reminderName = "Reminder"

// reminder is the camera profile's card.
type reminder struct{ desk *Desk }

func newReminder(d *Desk) Screen { return &reminder{d} }

func (*reminder) Name() string  { return reminderName }
func (*reminder) Open() tea.Cmd { return nil }

func (*reminder) Keys() []Key { return nil }

func (r *reminder) Update(msg tea.Msg) tea.Cmd {
	if k, ok := msg.(tea.KeyMsg); ok && k.String() == "enter" {
		r.desk.Go(monitorName)
	}
	return nil
}

func (r *reminder) Draw(f *Frame, area canvas.Rect) {
	f.TextIn(area, "Reminder", f.Style(theme.Ink))
}
