package view

import (
	"rollready/tui/canvas"
	"rollready/tui/widget"
)

// eighths are blocks filled from the left by 1…8 eighths.
var eighths = [...]rune{' ', '▏', '▎', '▍', '▌', '▋', '▊', '▉', '█'}

// fill says how a cell of a bar looks: its colour and the rune that fills it.
type fill func(column int) (canvas.Color, rune)

// DrawBar draws a level as a bar with eighths of a cell, on a trough.
func DrawBar(f *widget.Frame, area canvas.Rect, level float64, ground canvas.Color, look fill) {
	cells := levels.Cells(level, area.W)
	full := int(cells)
	part := int((cells - float64(full)) * 8)
	for y := area.Y; y < area.Y+area.H; y++ {
		for i := range area.W {
			color, r := look(i)
			s := canvas.Style{FG: color, BG: ground}
			switch {
			case i == full && part > 0:
				r = eighths[part]
			case i >= full:
				r = ' '
			}
			f.Set(area.X+i, y, r, s)
		}
	}
}

// Mark draws an upright line at a level over what is there.
func Mark(f *widget.Frame, area canvas.Rect, level float64, r rune, c canvas.Color) {
	x := area.X + levels.Column(level, area.W)
	for y := area.Y; y < area.Y+area.H; y++ {
		_, under := f.At(x, y)
		under.FG, under.Attr = c, canvas.Bold
		f.Set(x, y, r, under)
	}
}
