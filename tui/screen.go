package tui

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

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
	Draw(f *Frame, area canvas.Rect)
}

// Leaver is a screen that must not go on unseen. Leave is called when another
// screen is shown.
type Leaver interface{ Leave() tea.Cmd }

// Key is one line of the key help.
type Key struct {
	Press, Does string
	Short       string // word for the last row, "" if it is not shown there
}

// screens lists the pages in the order of their tabs.
func screens(d *Desk) []Screen {
	return []Screen{
		newMonitor(d),
		newPresets(d),
		newCheck(d),
		newComparison(d),
		newLineup(d),
		newTakes(d),
		newSetup(d),
		newReminder(d),
	}
}

// Frame is what a screen draws into.
type Frame struct {
	*canvas.Canvas
	*theme.Theme
	hits []hit
}

type hit struct {
	area canvas.Rect
	on   Widget
}

// Widget is a place that answers to the mouse. After a press the widget gets
// all motion until the release, also from outside its area.
type Widget interface {
	Press(x, y int) tea.Cmd
	Drag(x, y int)
	Wheel(up int)
}

// Click is a widget that does one thing when pressed.
type Click func() tea.Cmd

// Press does it.
func (c Click) Press(int, int) tea.Cmd { return c() }

// Drag does nothing.
func (Click) Drag(int, int) {}

// Wheel does nothing.
func (Click) Wheel(int) {}

// Hit makes an area answer to the mouse until the next frame. Later ones lie
// on top.
func (f *Frame) Hit(area canvas.Rect, on Widget) { f.hits = append(f.hits, hit{area, on}) }

func (f *Frame) at(x, y int) Widget {
	for i := len(f.hits) - 1; i >= 0; i-- {
		if f.hits[i].area.Contains(x, y) {
			return f.hits[i].on
		}
	}
	return nil
}
