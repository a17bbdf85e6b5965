package desk

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/keys"
	"rollready/tui/widget"
)

// MonitorName is the main screen: others may go on to it.
const MonitorName = "Monitor"

// Screen is one page of the program. All calls come from the program's one
// goroutine.
type Screen interface {
	// Name is the word on the tab.
	Name() string
	// Keys is the table of what can be done now. It may change at any time.
	Keys() keys.Table
	// Open is called when the screen is shown.
	Open() tea.Cmd
	// Update takes every message but keys and the mouse, at any time: frames,
	// and results of its own commands.
	Update(msg tea.Msg) tea.Cmd
	// Draw fills the area.
	Draw(f *widget.Frame, area canvas.Rect)
}

// Leaver is a screen that must not go on unseen. Leave is called when another
// screen is shown.
type Leaver interface{ Leave() tea.Cmd }
