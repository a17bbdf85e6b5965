package compare

import (
	"rollready/tui/canvas"
)

// comparePlaces are the areas of the comparison.
type comparePlaces struct {
	sentence, hear, input, scale, bands, frequencies, cursor, controls canvas.Rect
	sides                                                              [2]canvas.Rect
	figures                                                            int
}

// compareLayout divides the screen. Where there is little room, one bar
// stands for both channels.
func compareLayout(area canvas.Rect, channels int) comparePlaces {
	sentence, blank, thick := 1, 0, 1
	if area.H < 30 {
		channels = 1
	} else {
		sentence, blank = 3, 1
	}
	if area.H >= 50 {
		thick = 2
	}
	y := 0
	take := func(rows int) canvas.Rect {
		r := area.Rows(y, rows)
		y += rows
		return r
	}
	var l comparePlaces
	l.figures = 33
	if area.W < 76 {
		l.figures = 20
	}
	l.sentence = take(sentence)
	y += blank
	l.hear = take(1)
	y += blank
	l.input = take(channels)
	y += blank
	l.sides[0] = take(1 + channels*thick)
	l.sides[1] = take(1 + channels*thick)
	l.scale = take(1)
	y += blank
	rows := area.H - y - 5 - blank
	y += rows % 2
	l.bands = take(rows / 2 * 2)
	l.frequencies = take(1)
	l.cursor = take(1)
	y += blank
	l.controls = take(3)
	return l
}
