package compare

import (
	"rollready/tui/canvas"
	"rollready/tui/view"
)

// comparePlaces are the areas of the comparison.
type comparePlaces struct {
	sentence, hear, input, scale, bands, frequencies, cursor, controls canvas.Rect
	sides                                                              [2]canvas.Rect
	figures                                                            int
}

// compareLayout divides the screen. Where there is little room, one bar
// stands for both channels.
func compareLayout(area canvas.Rect, channels, fed int) comparePlaces {
	sentence, blank, thick := 1, 0, 1
	if area.H < 30 {
		channels, fed = 1, 1
	} else {
		sentence, blank = 3, 1
	}
	if area.H >= 50 {
		thick = 2
	}
	l := comparePlaces{figures: view.FigureCells(area.W)}
	l.sentence = area.Cut(sentence)
	area.Cut(blank)
	l.hear = area.Cut(1)
	area.Cut(blank)
	l.input = area.Cut(channels)
	area.Cut(blank)
	l.sides[0] = area.Cut(1 + fed*thick)
	l.sides[1] = area.Cut(1 + fed*thick)
	l.scale = area.Cut(1)
	area.Cut(blank)
	rows := area.H - 5 - blank
	area.Cut(rows % 2)
	l.bands = area.Cut(rows / 2 * 2)
	l.frequencies = area.Cut(1)
	l.cursor = area.Cut(1)
	area.Cut(blank)
	l.controls = area.Cut(3)
	return l
}
