package widget

import (
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// Rising are blocks filled from below by 1…8 eighths.
var Rising = [...]rune{' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'}

// Sign is the direction of a number, +1 for 0.
func Sign(n int) int {
	if n < 0 {
		return -1
	}
	return 1
}

// Dot adds one of a cell's 2 × 4 dots (Braille patterns, U+2800).
func Dot(f *Frame, plot canvas.Rect, i, height int, color canvas.Color) {
	if height < 0 || height >= 4*plot.H {
		return
	}
	bits := [2][4]rune{{0x40, 0x04, 0x02, 0x01}, {0x80, 0x20, 0x10, 0x08}}
	x, y := plot.X+i/2, plot.Y+plot.H-1-height/4
	r, s := f.At(x, y)
	switch {
	case r >= 0x2800 && r <= 0x28ff:
	case r != ' ' && r != '█' && r != '┈': // the end of a bar or a hold: it says more
		return
	default:
		s, r = over(f, r, s, color), 0x2800
	}
	f.Set(x, y, r|bits[i%2][height%4], s)
}

// over is the style of a line's dots on what they cover.
func over(f *Frame, r rune, s canvas.Style, color canvas.Color) canvas.Style {
	if r == '█' && f.Mono {
		return canvas.Style{Attr: canvas.Reverse}
	}
	if r == '█' {
		return canvas.Style{FG: theme.Ground, BG: s.FG}
	}
	return canvas.Style{FG: color, BG: s.BG}
}
