package tui

import (
	"math"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/chain"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// bandLevels is the scale of the bands in dBFS; unity is where 0 dB of the
// response curve lies on it.
var bandLevels = span{-90, 0}

const unity = -40.0

// rising are blocks filled from below by 1…8 eighths.
var rising = [...]rune{' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'}

// bandPlot draws the bands with holds, scales, cursor and response curve. It
// takes the mouse: pressing or dragging moves the cursor.
type bandPlot struct {
	desk   *Desk
	cursor int
	axis   axis
	curve  curve
}

// Press puts the cursor on a band.
func (p *bandPlot) Press(x, _ int) tea.Cmd { p.Drag(x, 0); return nil }

// Drag moves the cursor, to the last band at most.
func (p *bandPlot) Drag(x, _ int) { p.cursor = p.axis.band(x) }

// Wheel moves the cursor by one band.
func (p *bandPlot) Wheel(up int) { p.move(up) }

func (p *bandPlot) move(n int) { p.cursor = min(max(p.cursor+n, 0), dsp.BandCount-1) }

// key moves the cursor; false if the key means nothing to it.
func (p *bandPlot) key(k string) bool {
	switch k {
	case "left":
		p.move(-1)
	case "right":
		p.move(1)
	case "home":
		p.move(-dsp.BandCount)
	case "end":
		p.move(dsp.BandCount)
	default:
		return false
	}
	return true
}

// draw fills the area but for the gutter, whose right end gets the dB scale.
func (p *bandPlot) draw(f *Frame, area canvas.Rect, a axis) {
	p.axis = a
	plot := canvas.Rect{X: a.x, Y: area.Y, W: a.width(), H: area.H}
	f.Hit(plot, p)
	p.drawLines(f, area, plot)
	f.Tint(canvas.Rect{X: a.x + p.cursor*a.cell, Y: plot.Y, W: a.cell, H: plot.H}, theme.Panel)
	if p.desk.Dead() {
		noSignal(f, plot)
		return
	}
	for i := range dsp.BandCount {
		p.drawBand(f, plot, i)
	}
	p.drawRoomTone(f, plot)
	p.curve.update(p.desk.Settings.Chain, p.desk.Reading.RateHz, a, plot.H)
	p.curve.draw(f, plot)
}

// drawLines writes both dB scales and faint lines across.
func (p *bandPlot) drawLines(f *Frame, area, plot canvas.Rect) {
	every := 10
	for rows := float64(plot.H) / 9; rows*float64(every)/10 < 2 && every < 30; every += 10 {
	}
	for v := 0; v > int(bandLevels.lo); v -= every {
		y := levelRow(plot, float64(v))
		f.TextRight(canvas.Rect{X: plot.X - 4, Y: y, W: 3, H: 1}, figureInt(v), f.Style(theme.Dim))
		for x := plot.X; x < plot.X+plot.W; x++ {
			f.Set(x, y, '┈', f.Style(theme.Rule))
		}
	}
	for gain := -60; gain <= int(-unity); gain += every {
		text := signedInt(gain)
		if gain == 0 {
			text = "0 dB"
		}
		if v := unity + float64(gain); v > bandLevels.lo {
			f.TextIn(canvas.Rect{X: plot.X + plot.W, Y: levelRow(plot, v), W: margin, H: 1}, text, f.Style(theme.Curve))
		}
	}
	for y := plot.Y; y < plot.Y+plot.H; y++ {
		f.Set(plot.X-1, y, '▕', f.Style(theme.Rule))
	}
}

// levelRow is the row of the plot a level falls into.
func levelRow(plot canvas.Rect, level float64) int {
	return plot.Y + plot.H - 1 - bandLevels.column(level-0.01, plot.H)
}

func (p *bandPlot) drawBand(f *Frame, plot canvas.Rect, i int) {
	b := p.desk.Reading.Bands[i]
	x, w := plot.X+i*p.axis.cell, max(p.axis.cell-1, 1)
	bottom := plot.Y + plot.H - 1
	if i >= p.desk.Reading.BandsUsable {
		f.Fill(canvas.Rect{X: x, Y: bottom, W: w, H: 1}, '×', f.Style(theme.Dim))
		return
	}
	color := theme.Bar
	if i == p.cursor {
		color = theme.Choice
	}
	steps := int(bandLevels.cells(b.LevelDBFS, plot.H)*8 + 0.5)
	for row := 0; row*8 < steps; row++ {
		r := rising[min(steps-row*8, 8)]
		for k := range w {
			_, under := f.At(x+k, bottom-row)
			f.Set(x+k, bottom-row, r, canvas.Style{FG: color, BG: under.BG})
		}
	}
	if holds(p.desk) {
		p.drawHold(f, x, w, bottom, plot.H, steps, b.HoldDBFS)
	}
}

// drawHold draws the held peak as a tick in the top, middle or bottom of a
// cell, where the bar leaves it free.
func (p *bandPlot) drawHold(f *Frame, x, w, bottom, rows, steps int, level float64) {
	thirds := int(bandLevels.cells(level, rows) * 3)
	row := min(thirds/3, rows-1)
	if thirds == 0 || row < (steps+7)/8 {
		return
	}
	r := [...]rune{'▁', '─', '▔'}[thirds%3]
	for k := range w {
		_, under := f.At(x+k, bottom-row)
		f.Set(x+k, bottom-row, r, canvas.Style{FG: theme.Hold, BG: under.BG})
	}
}

// drawFrequencies writes the scale under the bands; the cursor's band is
// named too.
func (p *bandPlot) drawFrequencies(f *Frame, row canvas.Rect) {
	every := 3
	for every*p.axis.cell < 6 {
		every += 3
	}
	word := bandWord(bands.At(p.cursor).NominalHz)
	at := p.middle(p.cursor, len(word))
	for i := 0; i < dsp.BandCount; i += every {
		text := bandWord(bands.At(i).NominalHz)
		if x := p.middle(i, len(text)); x+len(text) < at || x > at+len(word) { // else half of it would show
			f.Text(x, row.Y, text, f.Style(theme.Dim))
		}
	}
	f.TextRight(canvas.Rect{X: p.axis.x - 4, Y: row.Y, W: 3, H: 1}, "Hz", f.Style(theme.Dim))
	f.Text(at, row.Y, word, f.Chosen())
}

// middle is where a text of so many cells starts to stand under a band.
func (p *bandPlot) middle(band, cells int) int {
	return p.axis.x + band*p.axis.cell + (max(p.axis.cell-1, 1)-cells+1)/2
}

// bandWord is a nominal frequency short enough for a scale: "63", "1k".
func bandWord(hz float64) string {
	if hz >= 1000 {
		return figurePlain(hz/1000) + "k"
	}
	return figurePlain(hz)
}

// curve is the response of gain and filters, kept until something changes.
type curve struct {
	chain chain.Settings
	rate  int
	axis  axis
	rows  int
	dots  []int // height in quarter cells above the bottom at each half cell
}

func (c *curve) update(s chain.Settings, rateHz int, a axis, rows int) {
	if c.chain == s && c.rate == rateHz && c.axis == a && c.rows == rows && c.dots != nil || rateHz == 0 {
		return
	}
	*c = curve{s, rateHz, a, rows, c.dots[:0]}
	for i := range 2 * a.width() {
		hz := min(a.hz((float64(i)+0.5)/2), 0.499*float64(rateHz))
		gain := s.ResponseDB(hz, rateHz)
		c.dots = append(c.dots, int((gain+unity-bandLevels.lo)/(bandLevels.hi-bandLevels.lo)*float64(4*rows)))
	}
}

// draw lays the curve over the plot in dots, joined where it is steep.
func (c *curve) draw(f *Frame, plot canvas.Rect) {
	for i := range c.dots {
		from := c.dots[i]
		if i > 0 && c.dots[i-1] != from {
			from = c.dots[i-1] + sign(from-c.dots[i-1])
		}
		for to := c.dots[i]; ; from += sign(to - from) {
			dot(f, plot, i, from, theme.Curve)
			if from == to {
				break
			}
		}
	}
}

func sign(n int) int {
	if n < 0 {
		return -1
	}
	return 1
}

// drawRoomTone lays a dotted line over the bands where the room tone was.
func (p *bandPlot) drawRoomTone(f *Frame, plot canvas.Rect) {
	for band := range p.desk.Reading.BandsUsable {
		v := p.desk.RoomTone(band)
		if math.IsNaN(v) || v < bandLevels.lo {
			continue
		}
		height := int(bandLevels.cells(v, 4*plot.H))
		for i := 2 * band * p.axis.cell; i < 2*(band+1)*p.axis.cell; i += 2 {
			dot(f, plot, i, height, theme.Room)
		}
	}
}

// dot adds one of a cell's 2 × 4 dots (Braille patterns, U+2800).
func dot(f *Frame, plot canvas.Rect, i, height int, color canvas.Color) {
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
