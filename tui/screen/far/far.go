// Package far is the view that is read from before the camera.
//
// Whoever films alone stands some metres away. The whole terminal tells as much
// as can be read from there: one word on the colour and pattern of its state,
// which fill the edge; the least headroom in figures as tall as fit, in whole
// dB, rounded down; the level as a bar as thick as fits; REC with the running
// time; and one short sentence. Only the bar moves fast. Before a take that is
// counted down the figures are the seconds left.
//
// # How large is large enough
//
// At 5 m the word and the figures subtend at least [WordArcmin], the height
// that ISO 9241-303 recommends for text on screens (20 to 22 minutes of arc;
// from memory). The sentence and the time have at least [TextMM]: the
// legibility index of signs in the MUTCD, section 2A.13, an inch of letter for
// 30 feet (from memory). Both assume that the terminal fills the screen of a
// 14-inch laptop, [ScreenWideMM] by [ScreenHighMM] without its bars, and cells
// twice as high as wide.
//
// # Without colour
//
// The pattern is coarse enough for the same distance, and is drawn in every
// theme: a full edge is safe, dashes ask for something, slants are a caution,
// a chequer means stop.
package far

import (
	"math"
	"strconv"

	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// Draw fills the whole terminal.
func Draw(f *widget.Frame, area canvas.Rect, d *desk.Desk) {
	say := d.First()
	p := layout(area, say.Brief())
	look := lookOf(say.Severity)
	look.fill(f, area, p.unit)
	f.Fill(p.middle, ' ', f.Style(theme.Ink))
	drawHead(f, &p, look, say.Word(), d)
	drawHeadroom(f, &p, d)
	drawLevel(f, p.bar, d)
	for i, line := range p.lines {
		dot := fit(line, p.foot.W-2, p.text)
		at := widget.Tall{Text: line, Wide: dot, High: p.text, Y: 2*p.foot.Y + 1 + i*(5*p.text+1)}
		at.X = 2*p.foot.X + (2*p.foot.W-widget.Dots(line)*dot)/2
		look.write(f, at)
	}
}

// look is how a state looks: its colour, and where the edge is filled, by
// blocks of the pattern's unit.
type look struct {
	color canvas.Color
	on    func(x, y int) bool
}

func lookOf(s verdict.Severity) look {
	switch s {
	case verdict.Stop:
		return look{theme.Over, func(x, y int) bool { return (x+y)%2 == 0 }}
	case verdict.Caution:
		return look{theme.Hot, func(x, y int) bool { return (x+y)%4 < 3 }}
	case verdict.Info:
		return look{theme.Low, func(_, y int) bool { return y%3 > 0 }}
	}
	return look{theme.Target, func(int, int) bool { return true }}
}

// fill fills an area with the pattern, its blocks a number of rows high.
func (l look) fill(f *widget.Frame, area canvas.Rect, unit int) {
	for y := area.Y; y < area.Y+area.H; y++ {
		for x := area.X; x < area.X+area.W; x++ {
			if l.on(x/(2*unit), y/unit) {
				f.Set(x, y, '█', f.Style(l.color))
			}
		}
	}
}

// write writes a text on the colour, on ground enough to stand clear of the
// pattern.
func (l look) write(f *widget.Frame, t widget.Tall) {
	s := canvas.Style{FG: theme.OnZone, BG: l.color}
	left, right := t.X/2-2, (t.X+widget.Dots(t.Text)*t.Wide+1)/2+2
	f.Fill(canvas.Rect{X: left, Y: t.Y / 2, W: right - left, H: (t.Y+5*t.High)/2 - t.Y/2 + 1}, ' ', s)
	t.Draw(f, s)
}

// drawHead writes the word of the state, and to the right the running take.
func drawHead(f *widget.Frame, p *plan, l look, word string, d *desk.Desk) {
	room := p.head.W
	switch {
	case d.Count.On:
		room -= drawRec(f, p, "IN "+strconv.Itoa(d.Count.Seconds()))
	case d.Rec.Rolling:
		room -= drawRec(f, p, format.Clock(d.Rec.Elapsed))
	}
	l.write(f, widget.Tall{Text: word, X: 2*p.head.X + 4, Y: 2*p.head.Y + 1, Wide: fit(word, room-6, p.word), High: p.word})
}

// drawRec writes REC and the running time at the right end of the head, in one
// line or in two, and gives the columns it takes.
func drawRec(f *widget.Frame, p *plan, clock string) int {
	lines := []string{"REC " + clock}
	high := 2*p.head.H - 2
	if wide := widget.Dots(lines[0]) * narrow(p.text); wide > p.head.W && high >= 10*p.text {
		lines = []string{"REC", clock}
	}
	dots := 0
	for _, line := range lines {
		dots = max(dots, widget.Dots(line))
	}
	columns := (dots*narrow(p.text)+1)/2 + 4
	ground := f.Inverse()
	box := p.head.Right(columns)
	f.Fill(box, ' ', ground)
	top := 2*box.Y + (2*box.H-len(lines)*(5*p.text+1)+1)/2
	for i, line := range lines {
		widget.Tall{Text: line, X: 2*box.X + 4, Y: top + i*(5*p.text+1), Wide: narrow(p.text), High: p.text}.Draw(f, ground)
	}
	return columns
}

// drawHeadroom writes the least headroom since the last reset, and the present
// one small beside it.
func drawHeadroom(f *widget.Frame, p *plan, d *desk.Desk) {
	l := view.Worst(&d.Slow)
	least, now := figure(l.LeastHeadroomDB), figure(l.HeadroomDB)
	unit := "dB"
	if d.Dead() {
		least, now = "–", "–"
	}
	if d.Count.On {
		least, unit = strconv.Itoa(d.Count.Seconds()), "S"
	}
	ink := f.Style(theme.Ink)
	wide := fit(least, p.figure.W, p.tall)
	widget.Tall{Text: least, Wide: wide, High: p.tall, Y: 2*p.figure.Y + (2*p.figure.H-5*p.tall)/2,
		X: 2 * (p.figure.X + p.figure.W - (widget.Dots(least)*wide+1)/2)}.Draw(f, ink)
	side := widget.Tall{Text: unit, X: 2 * p.side.X, Y: 2*p.side.Y + 1, Wide: narrow(p.text), High: p.text}
	side.Draw(f, ink)
	if step := 5*p.text + 2; 2*p.side.H >= 3*step {
		side.Y = 2*(p.side.Y+p.side.H) - 2*step
		for _, text := range []string{"NOW", now} {
			side.Text = text
			side.Draw(f, ink)
			side.Y += step
		}
	}
}

// figure writes headroom in whole dB, never more than there is.
func figure(headroomDB float64) string {
	if math.IsNaN(headroomDB) || headroomDB > 99 {
		return "–"
	}
	return format.FigureInt(int(math.Floor(max(headroomDB, -99))))
}
