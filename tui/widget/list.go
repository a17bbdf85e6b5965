package widget

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/keys"
)

// List is a scroll of rows of which one is chosen, by key or mouse, and always
// shows. Pressing the chosen row again does what enter does.
type List struct {
	Scroll
	At    int
	Again func() tea.Cmd
}

// Resize says how many rows there are.
func (l *List) Resize(count int) {
	l.count = count
	l.Move(0)
}

// Move moves the choice by so many rows.
func (l *List) Move(n int) { l.At = max(min(l.At+n, l.count-1), 0) }

// Keys are those that move the choice.
func (l *List) Keys(does, word string) keys.Binding {
	return keys.Binding{Press: "up down pgup pgdown home end", Shown: "↑ ↓", Does: does + "; PgUp PgDn Home End go further", Word: word,
		Do: keys.Do(l.key)}
}

func (l *List) key(k string) {
	switch k {
	case "up":
		l.Move(-1)
	case "down":
		l.Move(1)
	case "pgup":
		l.Move(-max(l.Area.H, 1))
	case "pgdown":
		l.Move(max(l.Area.H, 1))
	case "home":
		l.Move(-l.count)
	case "end":
		l.Move(l.count)
	}
}

// Draw calls row for every row that fits, scrolled so that the chosen one shows.
func (l *List) Draw(f *Frame, area canvas.Rect, row func(i int, at canvas.Rect, chosen bool)) {
	f.Hit(area, l)
	l.Top = min(max(l.Top, l.At-area.H+1), l.At)
	l.Fit(area, l.count)
	for y := 0; y < area.H && l.Top+y < l.count; y++ {
		row(l.Top+y, area.Row(y), l.Top+y == l.At)
	}
	l.marks(f)
}

// Press chooses a row.
func (l *List) Press(_, y int) tea.Cmd {
	i := l.Top + y - l.Area.Y
	if i < 0 || i >= l.count {
		return nil
	}
	if i == l.At && l.Again != nil {
		return l.Again()
	}
	l.At = i
	return nil
}

// Drag chooses the row under the mouse.
func (l *List) Drag(_, y int) {
	if i := l.Top + y - l.Area.Y; i != l.At {
		l.At = max(min(i, l.count-1), 0)
	}
}

// Wheel moves the choice.
func (l *List) Wheel(up int) { l.Move(-up) }
