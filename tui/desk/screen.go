package desk

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/widget"
)

const MonitorName = "Monitor"

// Screen is one page of the program. All calls come from the program's one
// goroutine.
type Screen interface {
	// Name is the word on the tab.
	Name() string
	// Keys lists what the keys do, for the help and the last row.
	Keys() []Key
	// Open is called when the screen is shown.
	Open() tea.Cmd
	// Update takes keys while the screen is shown, and every other message
	// at any time: results of its own commands.
	Update(msg tea.Msg) tea.Cmd
	// Draw fills the area.
	Draw(f *widget.Frame, area canvas.Rect)
}

// Leaver is a screen that must not go on unseen. Leave is called when another
// screen is shown.
type Leaver interface{ Leave() tea.Cmd }

// Key is one line of the key help.
type Key struct {
	Press, Does string
	Short       string // word for the last row, "" if it is not shown there
}
