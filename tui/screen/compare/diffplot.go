package compare

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// diffPlot draws by how much side B lies above side A in each band: bars
// upward from 0 dB where B has more, downward where A has more. Over them lies
// what the settings alone would make of it.
type diffPlot struct {
	view.BandPlot
	made differs // what the curve was made for
}

// differs is all that the curve depends on.
type differs struct {
	a, b   chain.Settings
	rateHz int
	axis   view.Axis
	rows   int
}

// spanFor is how many decibels the plot shows to either side.
func spanFor(rows int) float64 {
	if rows >= 14 {
		return 24
	}
	return 12
}

// draw fills an area of an even number of rows: 0 dB lies between its halves.
func (p *diffPlot) draw(f *widget.Frame, area canvas.Rect, a view.Axis, differenceDB [dsp.BandCount]float64, dead bool) {
	p.Axis = a
	plot := canvas.Rect{X: a.X, Y: area.Y, W: a.Width(), H: area.H}
	f.Hit(plot, p)
	p.drawScale(f, plot)
	f.Tint(canvas.Rect{X: a.X + p.Cursor*a.Cell, Y: plot.Y, W: a.Cell, H: plot.H}, theme.Panel)
	if dead {
		widget.NoSignal(f, plot)
		return
	}
	for i := range min(dsp.BandCount, p.Desk.Reading.BandsUsable) {
		p.drawBand(f, plot, i, differenceDB[i])
	}
	p.Curve.Draw(f, plot)
}

// drawScale writes the scale, faint lines across and the line of 0 dB.
func (p *diffPlot) drawScale(f *widget.Frame, plot canvas.Rect) {
	half := plot.H / 2
	span := spanFor(plot.H)
	label := func(y int, text string) {
		f.TextRight(canvas.Rect{X: plot.X - 6, Y: y, W: 5, H: 1}, text, f.Style(theme.Dim))
		for x := plot.X; x < plot.X+plot.W; x++ {
			f.Set(x, y, '┈', f.Style(theme.Rule))
		}
	}
	if half > 1 {
		label(plot.Y, format.SignedInt(int(span)))
		label(plot.Y+plot.H-1, format.SignedInt(-int(span)))
	}
	if half >= 6 {
		label(plot.Y+half/2, format.SignedInt(int(span)/2))
		label(plot.Y+plot.H-1-half/2, format.SignedInt(-int(span)/2))
	}
	zero := plot.Y + half - 1
	label(zero, "0 dB")
	for x := plot.X; x < plot.X+plot.W; x++ {
		f.Set(x, zero, '▁', f.Style(theme.Rule))
	}
	for y := plot.Y; y < plot.Y+plot.H; y++ {
		f.Set(plot.X-1, y, '▕', f.Style(theme.Rule))
	}
}

// drawBand draws one bar; one that goes past the scale ends in an arrow.
func (p *diffPlot) drawBand(f *widget.Frame, plot canvas.Rect, i int, difference float64) {
	half := plot.H / 2
	x, w := plot.X+i*p.Axis.Cell, max(p.Axis.Cell-1, 1)
	color := theme.Bar
	if i == p.Cursor {
		color = theme.Choice
	}
	span := spanFor(plot.H)
	steps := int(math.Round(min(math.Abs(difference)/span, 1) * float64(8*half)))
	for row := 0; row*8 < steps; row++ {
		n := min(steps-row*8, 8)
		y, r, down := plot.Y+half-1-row, widget.Rising[n], difference < 0
		if down {
			y = plot.Y + half + row
		}
		if row == half-1 && math.Abs(difference) > span+0.5 {
			r, n = arrow(down), 8
		}
		hangs := down && n < 8
		if hangs {
			r = widget.Rising[8-n]
		}
		for k := range w {
			f.Set(x+k, y, r, barCell(f, x+k, y, color, hangs))
		}
	}
}

func arrow(down bool) rune {
	if down {
		return '▼'
	}
	return '▲'
}

// barCell is the style of a bar's cell. A bar that hangs is drawn as the rest
// of the cell in the ground's colour.
func barCell(f *widget.Frame, x, y int, color canvas.Color, hangs bool) canvas.Style {
	_, under := f.At(x, y)
	switch {
	case hangs && f.Mono:
		return canvas.Style{Attr: canvas.Reverse}
	case hangs:
		return canvas.Style{FG: under.BG, BG: color}
	}
	return canvas.Style{FG: color, BG: under.BG}
}

// update makes the curve anew when a side or the size changed.
func (p *diffPlot) update(a, b chain.Settings, rateHz int, ax view.Axis, rows int) {
	now := differs{a, b, rateHz, ax, rows}
	if p.made == now || rateHz == 0 {
		return
	}
	p.made = now
	p.Curve.Dots = p.Curve.Dots[:0]
	half := float64(4 * (rows / 2))
	for i := range 2 * ax.Width() {
		hz := min(ax.Hz((float64(i)+0.5)/2), 0.499*float64(rateHz))
		d := b.ResponseDB(hz, rateHz) - a.ResponseDB(hz, rateHz)
		p.Curve.Dots = append(p.Curve.Dots, int(math.Floor(half+min(max(d/spanFor(rows), -2), 2)*half)))
	}
}
