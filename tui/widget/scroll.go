package widget

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/keys"
	"rollready/tui/theme"
)

// Scroll shows of many rows those that fit its area. Marks at the left edge
// tell that there are rows above or below.
type Scroll struct {
	count, Top int
	Area       canvas.Rect
	Pressed    func(i int) tea.Cmd // on row i; nil: a press does nothing
}

// by goes on by so many rows, as far as there are any.
func (s *Scroll) by(n int) { s.Top = max(min(s.Top+n, s.count-s.Area.H), 0) }

// Show brings rows from…to into view, the first of them above all. Under what
// is longer than its area the last row is not theirs.
func (s *Scroll) Show(from, to int) {
	if to > s.Top+s.Area.H-2 {
		s.Top = to - s.Area.H + 2
	}
	s.Top = min(s.Top, from)
	s.by(0)
}

// Above and below tell that there are rows out of sight.
func (s *Scroll) Above() bool { return s.Top > 0 }

// Below tells that there are rows out of sight below.
func (s *Scroll) Below() bool { return s.Top+s.Area.H < s.count }

// Keys are those that go on.
func (s *Scroll) Keys(does string) keys.Binding {
	return keys.Binding{Press: "up down pgup pgdown home end", Shown: "↑ ↓", Does: does + "; PgUp PgDn Home End and the wheel too", Do: keys.Do(s.Key)}
}

// Pages are the keys that turn pages only.
func (s *Scroll) Pages(does string) keys.Binding {
	return keys.Binding{Press: "pgup pgdown", Does: does + "; the wheel too", Do: keys.Do(s.Key)}
}

// Key goes on.
func (s *Scroll) Key(k string) {
	switch k {
	case "up":
		s.by(-1)
	case "down":
		s.by(1)
	case "home":
		s.by(-s.count)
	case "end":
		s.by(s.count)
	case "pgup":
		s.by(-max(s.Area.H-1, 1))
	case "pgdown":
		s.by(max(s.Area.H-1, 1))
	}
}

// Fit takes the place and the number of rows there now are.
func (s *Scroll) Fit(area canvas.Rect, count int) {
	s.Area, s.count = area, count
	s.by(0)
}

// Draw calls row for every row that fits. While there is more below, the last
// row says so.
func (s *Scroll) Draw(f *Frame, row func(i int, at canvas.Rect)) {
	f.Hit(s.Area, s)
	rows := min(s.Area.H, s.count-s.Top)
	if s.Below() && s.Area.H > 1 {
		rows--
		f.TextIn(s.Area.Row(rows).Skip(1), "more below", s.ink(f))
	}
	for y := range rows {
		row(s.Top+y, s.Area.Row(y))
	}
	s.marks(f)
}

// marks stand at the left edge where there are rows above or below.
func (s *Scroll) marks(f *Frame) {
	if s.Area.H < 1 {
		return
	}
	if s.Above() {
		f.Set(s.Area.X-1, s.Area.Y, '▴', s.ink(f))
	}
	if s.Below() {
		f.Set(s.Area.X-1, s.Area.Y+s.Area.H-1, '▾', s.ink(f))
	}
}

// ink is that of the marks, on the ground that is there.
func (s *Scroll) ink(f *Frame) canvas.Style {
	_, under := f.At(s.Area.X-1, s.Area.Y)
	return f.Strong(theme.Ink).On(under.BG)
}

// Press does what belongs to the row.
func (s *Scroll) Press(_, y int) tea.Cmd {
	i := s.Top + y - s.Area.Y
	if s.Pressed == nil || i >= s.count || s.Below() && y == s.Area.Y+s.Area.H-1 {
		return nil
	}
	return s.Pressed(i)
}

// Drag does nothing.
func (*Scroll) Drag(int, int) {}

// Wheel goes on by a row.
func (s *Scroll) Wheel(up int) { s.by(-up) }

// Sheet is a scroll of what is drawn freely: it is drawn whole on a page of
// its own, of which the part in view is copied.
type Sheet struct {
	Scroll
	page canvas.Canvas
	of   string
}

// pageRows is how long a page may become.
const pageRows = 100

// Draw lets write draw a page as wide as the area, without places to press.
// Another page than before, by its name, begins at its top.
func (s *Sheet) Draw(f *Frame, area canvas.Rect, name string, write func(f *Frame, area canvas.Rect)) {
	if name != s.of {
		s.of, s.Top = name, 0
	}
	s.page.Resize(area.W, pageRows)
	blank := f.Style(theme.Ink)
	s.page.Clear(blank)
	write(&Frame{Canvas: &s.page, Theme: f.Theme}, s.page.Bounds())
	s.Fit(area, s.used(blank))
	s.Scroll.Draw(f, func(i int, at canvas.Rect) {
		for x := range at.W {
			r, style := s.page.At(x, i)
			f.Set(at.X+x, at.Y, r, style)
		}
	})
}

// used is the number of rows down to the last one that is not blank.
func (s *Sheet) used(blank canvas.Style) int {
	for y := pageRows - 1; y >= 0; y-- {
		for x := range s.page.Bounds().W {
			if r, style := s.page.At(x, y); r != ' ' || style.BG != blank.BG {
				return y + 1
			}
		}
	}
	return 0
}
