package setup

import (
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// Draw shows the settings on the left, on the right the open list or help.
func (s *setup) Draw(f *widget.Frame, area canvas.Rect) {
	area = area.Inset(1, 0).Rows(1, area.H-1)
	left := area.Left(min(max(area.W/2, 38), 60))
	right := area.Skip(left.W + 3)
	s.list.Draw(f, left, func(i int, at canvas.Rect, chosen bool) {
		name, value := f.Style(theme.Dim), f.Style(theme.Ink)
		if chosen {
			value = f.Chosen().On(theme.Panel)
			name = value
			f.Fill(at, ' ', value)
			f.Set(at.X, at.Y, '▸', value)
		}
		f.TextIn(at.Skip(2).Left(16), s.rows[i].name, name)
		f.TextIn(at.Skip(19), s.rows[i].value(), value)
	})
	switch {
	case s.busy != "":
		f.TextIn(right, s.busy, f.Strong(theme.Ink))
	case s.picking != nil:
		s.picking.draw(f, right)
	default:
		s.drawHelp(f, right)
	}
}

func (s *setup) drawHelp(f *widget.Frame, area canvas.Rect) {
	row := s.rows[s.list.At]
	f.TextIn(area, row.name, f.Strong(theme.Ink))
	y := 1
	help := row.help
	switch row.name {
	case frameRateName: // it speaks of the present delay
		help = lateSentence(s.desk)
	case sharedName: // it tells of the present server
		help = s.sharedHelp()
	case takeNames: // it shows an example
		help = takeNamesHelp(s.desk)
	}
	for _, line := range format.Wrap(help, area.W) {
		f.TextIn(area.Row(y), line, f.Style(theme.Ink))
		y++
	}
	hint := "enter opens it"
	switch {
	case row.change != nil:
		hint = "← → change it"
	case row.name == sharedName: // only to be read
		hint = ""
	}
	f.TextIn(area.Row(y+1), hint, f.Style(theme.Dim))
	y += 3
	for _, notice := range append([]string{s.desk.Status.Notice}, s.desk.Notices...) {
		for _, line := range format.Wrap(notice, area.W) {
			f.TextIn(area.Row(y), line, f.Strong(theme.Ink))
			y++
		}
	}
}

func (p *picking) draw(f *widget.Frame, area canvas.Rect) {
	f.TextIn(area, p.title, f.Strong(theme.Ink))
	if len(p.items) == 0 {
		f.TextIn(area.Row(2), "none found", f.Style(theme.Dim))
	}
	p.list.Draw(f, area.Rows(2, area.H-2), func(i int, at canvas.Rect, chosen bool) {
		style := f.Style(theme.Ink)
		if chosen {
			style = f.Chosen().On(theme.Panel)
			f.Fill(at, ' ', style)
			f.Set(at.X, at.Y, '▸', style)
		}
		item := p.items[i]
		x := f.Text(at.X+2, at.Y, view.Called(item.name, item.mark, at.W-2), style) + 2
		f.TextIn(canvas.Rect{X: x, Y: at.Y, W: at.X + at.W - x, H: 1}, item.detail, f.Style(theme.Dim).On(style.BG))
	})
}
