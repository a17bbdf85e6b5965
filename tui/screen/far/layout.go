package far

import (
	"math"
	"strings"

	"rollready/tui/canvas"
	"rollready/tui/widget"
)

// What the layout is made for; see the package's comment for the sources.
const (
	AwayMM       = 5000.0
	WordArcmin   = 20.0
	TextMM       = 25.4 * AwayMM / 304.8 / 30 // an inch for 30 feet: 13.9 mm
	ScreenWideMM = 300.0
	ScreenHighMM = 160.0
)

// CellMM is the height of a cell on the screen that is assumed.
func CellMM(columns, rows int) float64 {
	return min(ScreenHighMM/float64(rows), 2*ScreenWideMM/float64(columns))
}

// WordMM is the least height of the word and the figures.
func WordMM() float64 { return 2 * AwayMM * math.Tan(WordArcmin/60*math.Pi/180/2) }

// lineDots is how wide the longest sentence is in one line.
const lineDots = 74

// plan is where everything lies. Letters are five dots high; what is named high
// here is a dot's height in half rows.
type plan struct {
	unit               int // rows of a block of the pattern
	word, text, tall   int // dots of the word, of the sentence and the time, of the figures
	head, middle, foot canvas.Rect
	figure, side, bar  canvas.Rect
	lines              []string
}

// layout gives the sentence and the word the height they need, as far as there
// is room, and all the rest to figures and bar.
func layout(area canvas.Rect, brief string) (p plan) {
	p.unit = max(area.H/20, 1)
	inner := area.Inset(2*p.unit, 0)
	need := func(mm float64) int { return int(math.Ceil(2 * mm / CellMM(area.W, area.H) / 5)) }
	p.word = max(min(need(WordMM()), (2*(area.H/3)-2)/5, 2*inner.W/24), 1)
	p.text = max(min(need(TextMM), (2*(area.H/4)-1)/5, 2*inner.W/lineDots), 1)
	p.lines = broken(strings.ToUpper(brief), inner.W-2, p.text)
	head, foot := (5*p.word+3)/2, (len(p.lines)*(5*p.text+1)+1)/2
	p.head, p.foot = inner.Rows(0, head), inner.Rows(area.H-foot, foot)
	p.middle = inner.Rows(head, area.H-head-foot)
	p.split()
	return p
}

// split shares the middle: the figures get the height there is, the bar the
// width they leave.
func (p *plan) split() {
	gap := 2 * p.unit
	in := p.middle.Inset(gap, 0)
	side := (widget.Dots("NOW")*narrow(p.text) + 1) / 2
	room := in.W - side - in.W/6 - 2*gap
	for p.tall = max((2*in.H-2)/5, 1); p.tall > 1 && 7*narrow(p.tall) > 2*room; p.tall-- {
	}
	p.figure = in.Left(min(7*p.tall, room))
	p.side = in.Skip(p.figure.W + gap).Left(side)
	p.bar = in.Skip(p.figure.W + side + 2*gap)
	if in.H > 4 {
		p.bar, p.side = p.bar.Inset(0, 1), p.side.Inset(0, (2*in.H-5*p.tall)/4)
	}
}

// narrow is the least width of a dot of letters so high, in half columns: they
// are 0.45 times as wide as high.
func narrow(high int) int { return (3*high + 1) / 2 }

// fit is how wide the dots of a text may be in so many columns, in half
// columns; at most as wide as high.
func fit(text string, columns, high int) int {
	return max(min(2*columns/max(widget.Dots(text), 1), 2*high), 1)
}

// broken gives a sentence as one line, or where that is too narrow as two of
// about the same length.
func broken(text string, columns, high int) []string {
	if widget.Dots(text)*narrow(high) <= 2*columns {
		return []string{text}
	}
	best := []string{text}
	for i, r := range text {
		if r != ' ' {
			continue
		}
		if two := []string{text[:i], text[i+1:]}; longest(two) < longest(best) {
			best = two
		}
	}
	return best
}

func longest(lines []string) (dots int) {
	for _, line := range lines {
		dots = max(dots, widget.Dots(line))
	}
	return dots
}
