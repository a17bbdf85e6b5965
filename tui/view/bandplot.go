package view

import (
	"math"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/chain"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/keys"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// bandLevels is the scale of the bands in dBFS; unity is where 0 dB of the
// response curve lies on it.
var bandLevels = widget.Span{Lo: -90, Hi: 0}

const Unity = -40.0

// BandPlot draws the bands with holds, scales, cursor and response curve. It
// takes the mouse: pressing or dragging moves the cursor.
type BandPlot struct {
	Desk   *desk.Desk
	Cursor int
	Axis   Axis
	Curve  Curve
}

// Press puts the cursor on a band.
func (p *BandPlot) Press(x, _ int) tea.Cmd { p.Drag(x, 0); return nil }

// Drag moves the cursor, to the last band at most.
func (p *BandPlot) Drag(x, _ int) { p.Cursor = p.Axis.band(x) }

// Wheel moves the cursor by one band.
func (p *BandPlot) Wheel(up int) { p.move(up) }

func (p *BandPlot) move(n int) { p.Cursor = min(max(p.Cursor+n, 0), dsp.BandCount-1) }

// Keys move the cursor.
func (p *BandPlot) Keys() keys.Binding {
	return keys.Binding{Press: "left right home end", Shown: "← →", Does: "band cursor; Home End to the ends", Word: "band", Do: keys.Do(p.key)}
}

func (p *BandPlot) key(k string) {
	switch k {
	case "left":
		p.move(-1)
	case "right":
		p.move(1)
	case "home":
		p.move(-dsp.BandCount)
	case "end":
		p.move(dsp.BandCount)
	}
}

// Draw fills the area but for the gutter, whose right end gets the dB scale.
func (p *BandPlot) Draw(f *widget.Frame, area canvas.Rect, a Axis) {
	p.Axis = a
	plot := canvas.Rect{X: a.X, Y: area.Y, W: a.Width(), H: area.H}
	f.Hit(plot, p)
	p.drawLines(f, area, plot)
	f.Tint(canvas.Rect{X: a.X + p.Cursor*a.Cell, Y: plot.Y, W: a.Cell, H: plot.H}, theme.Panel)
	if p.Desk.Dead() {
		widget.NoSignal(f, plot)
		return
	}
	for i := range dsp.BandCount {
		p.drawBand(f, plot, i)
	}
	p.drawRoomTone(f, plot)
	p.Curve.Update(p.Desk.Settings.Chain(), p.Desk.Reading.RateHz, a, plot.H)
	p.Curve.Draw(f, plot)
}

// drawLines writes both dB scales and faint lines across.
func (p *BandPlot) drawLines(f *widget.Frame, area, plot canvas.Rect) {
	every := 10
	for rows := float64(plot.H) / 9; rows*float64(every)/10 < 2 && every < 30; every += 10 {
	}
	for v := 0; v > int(bandLevels.Lo); v -= every {
		y := LevelRow(plot, float64(v))
		f.TextRight(canvas.Rect{X: plot.X - 4, Y: y, W: 3, H: 1}, format.FigureInt(v), f.Style(theme.Dim))
		for x := plot.X; x < plot.X+plot.W; x++ {
			f.Set(x, y, '┈', f.Style(theme.Rule))
		}
	}
	for gain := -60; gain <= int(-Unity); gain += every {
		text := format.SignedInt(gain)
		if gain == 0 {
			text = "0 dB"
		}
		if v := Unity + float64(gain); v > bandLevels.Lo {
			f.TextIn(canvas.Rect{X: plot.X + plot.W, Y: LevelRow(plot, v), W: margin, H: 1}, text, f.Style(theme.Curve))
		}
	}
	for y := plot.Y; y < plot.Y+plot.H; y++ {
		f.Set(plot.X-1, y, '▕', f.Style(theme.Rule))
	}
}

// LevelRow is the row of the plot a level falls into.
func LevelRow(plot canvas.Rect, level float64) int {
	return plot.Y + plot.H - 1 - bandLevels.Column(level-0.01, plot.H)
}

func (p *BandPlot) drawBand(f *widget.Frame, plot canvas.Rect, i int) {
	b := p.Desk.Reading.Bands[i]
	x, w := plot.X+i*p.Axis.Cell, max(p.Axis.Cell-1, 1)
	bottom := plot.Y + plot.H - 1
	if i >= p.Desk.Reading.BandsUsable {
		f.Fill(canvas.Rect{X: x, Y: bottom, W: w, H: 1}, '×', f.Style(theme.Dim))
		return
	}
	color := theme.Bar
	if i == p.Cursor {
		color = theme.Choice
	}
	steps := int(bandLevels.Cells(b.LevelDBFS, plot.H)*8 + 0.5)
	for row := 0; row*8 < steps; row++ {
		r := widget.Rising[min(steps-row*8, 8)]
		for k := range w {
			_, under := f.At(x+k, bottom-row)
			f.Set(x+k, bottom-row, r, canvas.Style{FG: color, BG: under.BG})
		}
	}
	if Holds(p.Desk) {
		p.drawHold(f, x, w, bottom, plot.H, steps, b.HoldDBFS)
	}
}

// drawHold draws the held peak as a tick in the top, middle or bottom of a
// cell, where the bar leaves it free.
func (p *BandPlot) drawHold(f *widget.Frame, x, w, bottom, rows, steps int, level float64) {
	thirds := int(bandLevels.Cells(level, rows) * 3)
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

// DrawFrequencies writes the scale under the bands; the cursor's band is
// named too.
func (p *BandPlot) DrawFrequencies(f *widget.Frame, row canvas.Rect) {
	every := 3
	for every*p.Axis.Cell < 6 {
		every += 3
	}
	word := BandWord(bands.At(p.Cursor).NominalHz)
	at := p.middle(p.Cursor, len(word))
	for i := 0; i < dsp.BandCount; i += every {
		text := BandWord(bands.At(i).NominalHz)
		if x := p.middle(i, len(text)); x+len(text) < at || x > at+len(word) { // else half of it would show
			f.Text(x, row.Y, text, f.Style(theme.Dim))
		}
	}
	f.TextRight(canvas.Rect{X: p.Axis.X - 4, Y: row.Y, W: 3, H: 1}, "Hz", f.Style(theme.Dim))
	f.Text(at, row.Y, word, f.Chosen())
}

// middle is where a text of so many cells starts to stand under a band.
func (p *BandPlot) middle(band, cells int) int {
	return p.Axis.X + band*p.Axis.Cell + (max(p.Axis.Cell-1, 1)-cells+1)/2
}

// BandWord is a nominal frequency short enough for a scale: "63", "1k".
func BandWord(hz float64) string {
	if hz >= 1000 {
		return format.FigurePlain(hz/1000) + "k"
	}
	return format.FigurePlain(hz)
}

// Curve is the response of gain and filters, kept until something changes.
type Curve struct {
	chain chain.Settings
	rate  int
	axis  Axis
	rows  int
	Dots  []int // height in quarter cells above the bottom at each half cell
}

// Update works the curve out anew where something changed.
func (c *Curve) Update(s chain.Settings, rateHz int, a Axis, rows int) {
	if c.chain == s && c.rate == rateHz && c.axis == a && c.rows == rows && c.Dots != nil || rateHz == 0 {
		return
	}
	*c = Curve{s, rateHz, a, rows, c.Dots[:0]}
	for i := range 2 * a.Width() {
		hz := min(a.Hz((float64(i)+0.5)/2), 0.499*float64(rateHz))
		gain := s.ResponseDB(hz, rateHz)
		c.Dots = append(c.Dots, int((gain+Unity-bandLevels.Lo)/(bandLevels.Hi-bandLevels.Lo)*float64(4*rows)))
	}
}

// Draw lays the curve over the plot in dots, joined where it is steep.
func (c *Curve) Draw(f *widget.Frame, plot canvas.Rect) {
	for i := range c.Dots {
		from := c.Dots[i]
		if i > 0 && c.Dots[i-1] != from {
			from = c.Dots[i-1] + widget.Sign(from-c.Dots[i-1])
		}
		for to := c.Dots[i]; ; from += widget.Sign(to - from) {
			widget.Dot(f, plot, i, from, theme.Curve)
			if from == to {
				break
			}
		}
	}
}

// drawRoomTone lays a dotted line over the bands where the room tone was.
func (p *BandPlot) drawRoomTone(f *widget.Frame, plot canvas.Rect) {
	for band := range p.Desk.Reading.BandsUsable {
		v := p.Desk.RoomTone(band)
		if math.IsNaN(v) || v < bandLevels.Lo {
			continue
		}
		height := int(bandLevels.Cells(v, 4*plot.H))
		for i := 2 * band * p.Axis.Cell; i < 2*(band+1)*p.Axis.Cell; i += 2 {
			widget.Dot(f, plot, i, height, theme.Room)
		}
	}
}
