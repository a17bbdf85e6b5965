package tui

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// scroll shows of many rows those that fit its area. Marks at the left edge
// tell that there are rows above or below.
type scroll struct {
	count, top int
	area       canvas.Rect
	press      func(i int) tea.Cmd // on row i; nil: a press does nothing
}

// by goes on by so many rows, as far as there are any.
func (s *scroll) by(n int) { s.top = max(min(s.top+n, s.count-s.area.H), 0) }

// show brings rows from…to into view, the first of them above all. Under what
// is longer than its area the last row is not theirs.
func (s *scroll) show(from, to int) {
	if to > s.top+s.area.H-2 {
		s.top = to - s.area.H + 2
	}
	s.top = min(s.top, from)
	s.by(0)
}

// above and below tell that there are rows out of sight.
func (s *scroll) above() bool { return s.top > 0 }
func (s *scroll) below() bool { return s.top+s.area.H < s.count }

// key goes on; false if the key means nothing to a text.
func (s *scroll) key(k string) bool {
	switch k {
	case "up", "k":
		s.by(-1)
	case "down", "j":
		s.by(1)
	case "home":
		s.by(-s.count)
	case "end":
		s.by(s.count)
	default:
		return s.turn(k)
	}
	return true
}

// turn answers only the keys that turn pages.
func (s *scroll) turn(k string) bool {
	switch k {
	case "pgup":
		s.by(-max(s.area.H-1, 1))
	case "pgdown":
		s.by(max(s.area.H-1, 1))
	default:
		return false
	}
	return true
}

// fit takes the place and the number of rows there now are.
func (s *scroll) fit(area canvas.Rect, count int) {
	s.area, s.count = area, count
	s.by(0)
}

// draw calls row for every row that fits. While there is more below, the last
// row says so.
func (s *scroll) draw(f *Frame, row func(i int, at canvas.Rect)) {
	f.Hit(s.area, s)
	rows := min(s.area.H, s.count-s.top)
	if s.below() && s.area.H > 1 {
		rows--
		f.TextIn(s.area.Row(rows).Skip(1), "more below", s.ink(f))
	}
	for y := range rows {
		row(s.top+y, s.area.Row(y))
	}
	s.marks(f)
}

// marks stand at the left edge where there are rows above or below.
func (s *scroll) marks(f *Frame) {
	if s.area.H < 1 {
		return
	}
	if s.above() {
		f.Set(s.area.X-1, s.area.Y, '▴', s.ink(f))
	}
	if s.below() {
		f.Set(s.area.X-1, s.area.Y+s.area.H-1, '▾', s.ink(f))
	}
}

// ink is that of the marks, on the ground that is there.
func (s *scroll) ink(f *Frame) canvas.Style {
	_, under := f.At(s.area.X-1, s.area.Y)
	return f.Strong(theme.Ink).On(under.BG)
}

// Press does what belongs to the row.
func (s *scroll) Press(_, y int) tea.Cmd {
	i := s.top + y - s.area.Y
	if s.press == nil || i >= s.count || s.below() && y == s.area.Y+s.area.H-1 {
		return nil
	}
	return s.press(i)
}

// Drag does nothing.
func (*scroll) Drag(int, int) {}

// Wheel goes on by a row.
func (s *scroll) Wheel(up int) { s.by(-up) }

// sheet is a scroll of what is drawn freely: it is drawn whole on a page of
// its own, of which the part in view is copied.
type sheet struct {
	scroll
	page canvas.Canvas
	of   string
}

// pageRows is how long a page may become.
const pageRows = 100

// draw lets write draw a page as wide as the area, without places to press.
// Another page than before, by its name, begins at its top.
func (s *sheet) draw(f *Frame, area canvas.Rect, name string, write func(f *Frame, area canvas.Rect)) {
	if name != s.of {
		s.of, s.top = name, 0
	}
	s.page.Resize(area.W, pageRows)
	blank := f.Style(theme.Ink)
	s.page.Clear(blank)
	write(&Frame{Canvas: &s.page, Theme: f.Theme}, s.page.Bounds())
	s.fit(area, s.used(blank))
	s.scroll.draw(f, func(i int, at canvas.Rect) {
		for x := range at.W {
			r, style := s.page.At(x, i)
			f.Set(at.X+x, at.Y, r, style)
		}
	})
}

// used is the number of rows down to the last one that is not blank.
func (s *sheet) used(blank canvas.Style) int {
	for y := pageRows - 1; y >= 0; y-- {
		for x := range s.page.Bounds().W {
			if r, style := s.page.At(x, y); r != ' ' || style.BG != blank.BG {
				return y + 1
			}
		}
	}
	return 0
}
