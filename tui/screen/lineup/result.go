package lineup

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/keys"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

func (l *lineUp) resultKeys() keys.Table {
	leave := keys.Then(func() { l.result = nil })
	return keys.Table{
		{Press: "v", Does: "back to the line-up", Word: "back", Do: leave},
		{Press: "enter esc", Does: "back, too", Do: leave},
		{Press: "f", Does: "read the camera's clip of it: type its path", Do: keys.Cmd(l.askClip)},
		{Press: "u", Does: "undo what was kept last in the camera's profile", Word: "undo", Do: keys.Cmd(l.undo)},
		l.clip.Keys("more of the result"),
	}
}

// resultLine is one row of the table: a name or none, and a piece of a text.
type resultLine struct {
	name, text string
	advice     bool
}

// drawResult shows what a clip told: what to do, figures, and the response.
func (l *lineUp) drawResult(f *widget.Frame, area canvas.Rect) {
	table := area
	if area.W >= 76 && len(l.result.Response) > 0 {
		cell := max((area.W-46-7)/dsp.BandCount, 1)
		table = area.Left(min(area.W-cell*dsp.BandCount-9, 90))
		l.drawResponse(f, area.Skip(table.W+2), cell)
	}
	lines := l.resultLines(table.W)
	l.clip.Fit(table, len(lines))
	l.clip.Draw(f, func(i int, at canvas.Rect) { drawResultLine(f, at, lines[i]) })
}

const resultGutter = 16

func (l *lineUp) resultLines(w int) (lines []resultLine) {
	for _, text := range l.result.Advice {
		for i, line := range format.Wrap(text, w-2) {
			mark := ""
			if i == 0 {
				mark = "→"
			}
			lines = append(lines, resultLine{mark, line, true})
		}
	}
	lines = append(lines, resultLine{})
	for _, word := range l.result.Words() {
		for i, line := range format.Wrap(word.Value, w-resultGutter) {
			if i > 0 {
				word.Name = ""
			}
			lines = append(lines, resultLine{word.Name, line, false})
		}
	}
	return lines
}

func drawResultLine(f *widget.Frame, row canvas.Rect, line resultLine) {
	if line.advice {
		f.TextIn(row, line.name, f.Strong(theme.Target))
		f.TextIn(row.Skip(2), line.text, f.Strong(theme.Ink))
		return
	}
	f.TextIn(row.Left(resultGutter-1), line.name, f.Style(theme.Dim))
	f.TextIn(row.Skip(resultGutter), line.text, f.Style(theme.Ink))
}

// responseScale is the scale of the response in dB against 1 kHz.
var responseScale = widget.Span{Lo: -18, Hi: 6}

// drawResponse draws the camera's frequency response.
func (l *lineUp) drawResponse(f *widget.Frame, area canvas.Rect, cell int) {
	area.H = min(area.H, 30)
	if area.H < 8 {
		return
	}
	f.TextIn(area, "Frequency response against 1 kHz, dB", f.Strong(theme.Ink))
	a := view.Axis{X: area.X + 5, Cell: cell}
	plot := canvas.Rect{X: a.X, Y: area.Y + 2, W: a.Width(), H: area.H - 3}
	f.Fill(plot, ' ', f.Style(theme.Ink).On(theme.Panel))
	for v := 6; v >= -18; v -= 6 {
		y := plot.Y + plot.H - 1 - responseScale.Column(float64(v)-0.01, plot.H)
		f.TextRight(canvas.Rect{X: area.X, Y: y, W: 4, H: 1}, format.SignedInt(v), f.Style(theme.Dim))
		f.Fill(canvas.Rect{X: plot.X, Y: y, W: plot.W, H: 1}, '┈', f.Style(theme.Rule).On(theme.Panel))
	}
	l.drawPoints(f, plot, a)
	for i := 3; i < 32; i += 6 {
		f.Text(a.X+i*a.Cell, plot.Y+plot.H, view.BandWord(bands.At(i).NominalHz), f.Style(theme.Dim))
	}
	f.TextRight(canvas.Rect{X: area.X, Y: plot.Y + plot.H, W: 4, H: 1}, "Hz", f.Style(theme.Dim))
}

// drawPoints draws the curve, from where there is something measured.
func (l *lineUp) drawPoints(f *widget.Frame, plot canvas.Rect, a view.Axis) {
	var c view.Curve
	first := 0
	for i := range 2 * a.Width() {
		v, ok := l.responseAt(a.Hz((float64(i) + 0.5) / 2))
		switch {
		case ok:
			c.Dots = append(c.Dots, int(responseScale.Cells(v, 4*plot.H-1)+0.5))
		case c.Dots == nil && i%2 == 1:
			first = (i + 1) / 2
		}
	}
	plot.X += first
	c.Draw(f, plot)
}

// responseAt is the response at a frequency, between the points on a straight
// line over log frequency; false outside what was measured.
func (l *lineUp) responseAt(hz float64) (db float64, ok bool) {
	points := l.result.Response
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; hz >= a.Hz && hz <= b.Hz && a.Hz < b.Hz {
			share := math.Log(hz/a.Hz) / math.Log(b.Hz/a.Hz)
			return a.LevelDB + share*(b.LevelDB-a.LevelDB), true
		}
	}
	return 0, false
}
