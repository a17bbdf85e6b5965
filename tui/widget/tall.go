package widget

import (
	"rollready/tui/canvas"
)

// glyph is a sign of five rows of dots: its width, and each row in bits from
// the top.
type glyph struct {
	wide int
	rows [5]uint8
}

// letters are capitals of 3 to 5 dots and signs beside the figures of strokes.
var letters = map[rune]glyph{
	'A': {3, [5]uint8{2, 5, 7, 5, 5}}, 'B': {3, [5]uint8{6, 5, 6, 5, 6}}, 'C': {3, [5]uint8{3, 4, 4, 4, 3}}, 'D': {3, [5]uint8{6, 5, 5, 5, 6}},
	'E': {3, [5]uint8{7, 4, 6, 4, 7}}, 'F': {3, [5]uint8{7, 4, 6, 4, 4}}, 'G': {3, [5]uint8{3, 4, 5, 5, 3}}, 'H': {3, [5]uint8{5, 5, 7, 5, 5}},
	'I': {1, [5]uint8{1, 1, 1, 1, 1}}, 'J': {3, [5]uint8{1, 1, 1, 5, 2}}, 'K': {3, [5]uint8{5, 5, 6, 5, 5}}, 'L': {3, [5]uint8{4, 4, 4, 4, 7}},
	'M': {5, [5]uint8{17, 27, 21, 17, 17}}, 'N': {4, [5]uint8{9, 13, 11, 9, 9}}, 'O': {3, [5]uint8{7, 5, 5, 5, 7}}, 'P': {3, [5]uint8{6, 5, 6, 4, 4}},
	'Q': {4, [5]uint8{6, 9, 9, 10, 5}}, 'R': {3, [5]uint8{6, 5, 6, 5, 5}}, 'S': {3, [5]uint8{3, 4, 2, 1, 6}}, 'T': {3, [5]uint8{7, 2, 2, 2, 2}},
	'U': {3, [5]uint8{5, 5, 5, 5, 7}}, 'V': {3, [5]uint8{5, 5, 5, 5, 2}}, 'W': {5, [5]uint8{17, 17, 21, 21, 10}}, 'X': {3, [5]uint8{5, 5, 2, 5, 5}},
	'Y': {3, [5]uint8{5, 5, 2, 2, 2}}, 'Z': {3, [5]uint8{7, 1, 2, 4, 7}}, 'd': {3, [5]uint8{1, 1, 3, 5, 3}},
	' ': {2, [5]uint8{}}, ':': {1, [5]uint8{0, 1, 0, 1, 0}}, '.': {1, [5]uint8{0, 0, 0, 0, 1}}, '-': {2, [5]uint8{0, 0, 3, 0, 0}}, '●': {3, [5]uint8{0, 7, 7, 7, 0}},
}

// Columns gives a text as columns of dots, the topmost in the lowest bit; signs
// that are not known are left out.
func Columns(text string) (columns []uint8) {
	for _, r := range text {
		g, found := letters[r]
		if rows, figure := strokes[r]; figure {
			g, found = glyph{3, rows}, true
		}
		if !found {
			continue
		}
		if len(columns) > 0 {
			columns = append(columns, 0)
		}
		for x := range g.wide {
			var column uint8
			for y, row := range g.rows {
				column |= row >> (g.wide - 1 - x) & 1 << y
			}
			columns = append(columns, column)
		}
	}
	return columns
}

// Dots is how many dots wide a tall text is; it is five high.
func Dots(text string) int { return len(Columns(text)) }

// Tall is a text of any size, in quarters of cells.
type Tall struct {
	Text       string
	X, Y       int // of its left upper corner: half columns, half rows
	Wide, High int // of a dot: half columns, half rows
}

// quadrants are cells of which quarters are filled: 1 left above, 2 right
// above, 4 left below, 8 right below.
var quadrants = [...]rune{' ', '▘', '▝', '▀', '▖', '▌', '▞', '▛', '▗', '▚', '▐', '▜', '▄', '▙', '▟', '█'}

// Draw writes the text over what is there.
func (t Tall) Draw(f *Frame, s canvas.Style) {
	columns := Columns(t.Text)
	on := func(x, y int) bool {
		x, y = x-t.X, y-t.Y
		if x < 0 || y < 0 || x >= len(columns)*t.Wide || y >= 5*t.High {
			return false
		}
		return columns[x/t.Wide]>>(y/t.High)&1 != 0
	}
	for y := t.Y / 2; y <= (t.Y+5*t.High)/2; y++ {
		for x := t.X / 2; x <= (t.X+len(columns)*t.Wide)/2; x++ {
			filled := 0
			for i := range 4 {
				if on(2*x+i%2, 2*y+i/2) {
					filled |= 1 << i
				}
			}
			if filled > 0 {
				f.Set(x, y, quadrants[filled], s)
			}
		}
	}
}
