package widget

import (
	"rollready/tui/canvas"
)

// strokes are figures of 3 × 5 dots, a row in three bits, from the top.
var strokes = map[rune][5]uint8{
	'0': {7, 5, 5, 5, 7}, '1': {2, 6, 2, 2, 7}, '2': {7, 1, 7, 4, 7}, '3': {7, 1, 3, 1, 7}, '4': {5, 5, 7, 1, 1},
	'5': {7, 4, 7, 1, 7}, '6': {7, 4, 7, 5, 7}, '7': {7, 1, 2, 2, 2}, '8': {7, 5, 7, 5, 7}, '9': {7, 5, 7, 1, 7},
	'−': {0, 0, 7, 0, 0}, '–': {0, 0, 7, 0, 0},
}

// DrawBig writes a figure three rows high and gives the x after it.
func DrawBig(f *Frame, x, y int, text string, s canvas.Style) int {
	for _, r := range text {
		dots, ok := strokes[r]
		switch {
		case r == '.':
			f.Set(x, y+2, '▀', s)
			x += 2
			continue
		case !ok:
			f.Set(x+1, y+1, r, s.With(canvas.Bold))
			x += 4
			continue
		}
		for col := range 3 {
			bit := uint8(4) >> col
			for row := range 3 {
				up := dots[2*row]&bit != 0
				down := row < 2 && dots[2*row+1]&bit != 0
				f.Set(x+col, y+row, half(up, down), s)
			}
		}
		x += 4
	}
	return x
}

func half(up, down bool) rune {
	switch {
	case up && down:
		return '█'
	case up:
		return '▀'
	case down:
		return '▄'
	}
	return ' '
}
