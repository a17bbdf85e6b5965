package takes

import (
	"math"
	"slices"

	"rollready/capture/take"
	"rollready/dsp/figure"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// levels writes the figures of a take.
func (d *takeDetails) levels(t take.Take) {
	l, f := t.Levels, d.frame
	for _, line := range [...]struct {
		name  string
		value figure.Figure
		unit  string
		more  string
	}{
		{"Input peak", l.InputPeakDBTP, " dBTP", format.Plural(l.Clips, "clip")},
		{"Camera peak", l.CameraPeakDBTP, " dBTP", ""},
		{"Loudness", l.IntegratedLUFS, " LUFS", "range " + l.RangeLU.String() + " LU"},
		{"Noise floor", l.NoiseFloorDBFS, " dBFS", ""},
	} {
		row := d.row()
		f.TextIn(row.Left(13), line.name, f.Style(theme.Dim))
		f.TextIn(row.Skip(13).Left(6), format.PadLeft(line.value.String(), 6), f.Strong(theme.Ink))
		f.TextIn(row.Skip(19).Left(6), line.unit, f.Style(theme.Dim))
		f.TextIn(row.Skip(27), line.more, f.Style(theme.Dim))
		d.y++
	}
	d.y++
}

// log writes markers and events in the order of their times, the newest if
// there is no room for all.
func (d *takeDetails) log(t take.Take) {
	type line struct {
		frame int64
		text  string
		bad   bool
	}
	var lines []line
	for _, m := range t.Markers {
		lines = append(lines, line{m.Frame, m.Text, false})
	}
	for _, e := range t.Events {
		lines = append(lines, line{e.Frame, e.Text, true})
	}
	slices.SortStableFunc(lines, func(a, b line) int { return int(a.frame - b.frame) })
	room := max(d.area.H-d.y, 0)
	if len(lines) == 0 || room == 0 {
		return
	}
	if len(lines) > room {
		lines = lines[len(lines)-room:]
	}
	f := d.frame
	for _, l := range lines {
		row := d.row()
		f.TextIn(row.Left(8), format.PadLeft(format.Clock(format.Duration(l.frame, t.RateHz)), 7), f.Style(theme.Dim))
		mark, style := '▾', f.Style(theme.Ink)
		if l.bad {
			mark, style = '!', f.Strong(theme.Ink)
		}
		f.Set(row.X+8, row.Y, mark, f.Strong(theme.Choice))
		f.TextIn(row.Skip(10), l.text, style)
		d.y++
	}
}

// picture draws the level over time where there is room.
func (d *takeDetails) picture(t take.Take) {
	points := t.Picture.PeakDBFS
	rows := min(d.area.H-d.y-2-min(len(t.Markers)+len(t.Events), 3), 6+d.area.H/12)
	w := d.area.W - 6
	if rows < 3 || w < 20 || len(points) == 0 {
		return
	}
	f := d.frame
	plot := canvas.Rect{X: d.area.X + 6, Y: d.area.Y + d.y, W: w, H: rows}
	f.Fill(plot, ' ', f.Style(theme.Bar).On(theme.Panel))
	f.TextRight(canvas.Rect{X: d.area.X, Y: plot.Y, W: 5, H: 1}, "0 dB", f.Style(theme.Dim))
	f.TextRight(canvas.Rect{X: d.area.X, Y: plot.Y + rows - 1, W: 5, H: 1}, "−60", f.Style(theme.Dim))
	for x := range w {
		drawColumn(f, plot, x, loudest(points, x, w))
	}
	for _, m := range t.Markers {
		if t.Frames > 0 {
			x := int(float64(m.Frame) / float64(t.Frames) * float64(w))
			f.Set(plot.X+min(x, w-1), plot.Y, '▾', f.Strong(theme.Choice).On(theme.Panel))
		}
	}
	below := canvas.Rect{X: plot.X, Y: plot.Y + rows, W: w, H: 1}
	f.Text(below.X, below.Y, "0:00", f.Style(theme.Dim))
	f.TextRight(below, format.Clock(t.Duration()), f.Style(theme.Dim))
	d.y += rows + 2
}

// loudest is the highest of the points that fall into a column.
func loudest(points []float64, x, w int) float64 {
	from := x * len(points) / w
	to := max((x+1)*len(points)/w, from+1)
	return slices.Max(points[from:min(to, len(points))])
}

func drawColumn(f *widget.Frame, plot canvas.Rect, x int, level float64) {
	if math.IsNaN(level) {
		return
	}
	eighth := int(min(max((level+60)/60, 0), 1) * float64(plot.H*8))
	for y := plot.H - 1; y >= 0 && eighth > 0; y-- {
		f.Set(plot.X+x, plot.Y+y, widget.Rising[min(eighth, 8)], f.Style(theme.Bar).On(theme.Panel))
		eighth -= 8
	}
}
