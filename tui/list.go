package tui

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
)

// list is a scroll of rows of which one is chosen, by key or mouse, and always
// shows. Pressing the chosen row again does what enter does.
type list struct {
	scroll
	at    int
	again func() tea.Cmd
}

// resize says how many rows there are.
func (l *list) resize(count int) {
	l.count = count
	l.move(0)
}

func (l *list) move(n int) { l.at = max(min(l.at+n, l.count-1), 0) }

// key moves the choice; false if the key means nothing to a list.
func (l *list) key(k string) bool {
	switch k {
	case "up", "k":
		l.move(-1)
	case "down", "j":
		l.move(1)
	case "pgup":
		l.move(-max(l.area.H, 1))
	case "pgdown":
		l.move(max(l.area.H, 1))
	case "home":
		l.move(-l.count)
	case "end":
		l.move(l.count)
	default:
		return false
	}
	return true
}

// draw calls row for every row that fits, scrolled so that the chosen one shows.
func (l *list) draw(f *Frame, area canvas.Rect, row func(i int, at canvas.Rect, chosen bool)) {
	f.Hit(area, l)
	l.top = min(max(l.top, l.at-area.H+1), l.at)
	l.fit(area, l.count)
	for y := 0; y < area.H && l.top+y < l.count; y++ {
		row(l.top+y, area.Row(y), l.top+y == l.at)
	}
	l.marks(f)
}

// Press chooses a row.
func (l *list) Press(_, y int) tea.Cmd {
	i := l.top + y - l.area.Y
	if i < 0 || i >= l.count {
		return nil
	}
	if i == l.at && l.again != nil {
		return l.again()
	}
	l.at = i
	return nil
}

// Drag chooses the row under the mouse.
func (l *list) Drag(_, y int) {
	if i := l.top + y - l.area.Y; i != l.at {
		l.at = max(min(i, l.count-1), 0)
	}
}

// Wheel moves the choice.
func (l *list) Wheel(up int) { l.move(-up) }
