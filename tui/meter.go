package tui

import (
	"strconv"
	"strings"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// levels is the scale of both level meters in dBFS. It ends above full scale:
// with an offset the output can be past what the camera takes.
var levels = span{-60, 3}

// eighths are blocks filled from the left by 1…8 eighths.
var eighths = [...]rune{' ', '▏', '▎', '▍', '▌', '▋', '▊', '▉', '█'}

// fill says how a cell of a bar looks: its colour and the rune that fills it.
type fill func(column int) (canvas.Color, rune)

// drawBar draws a level as a bar with eighths of a cell, on a trough.
func drawBar(f *Frame, area canvas.Rect, level float64, ground canvas.Color, look fill) {
	cells := levels.cells(level, area.W)
	full := int(cells)
	part := int((cells - float64(full)) * 8)
	for y := area.Y; y < area.Y+area.H; y++ {
		for i := range area.W {
			color, r := look(i)
			s := canvas.Style{FG: color, BG: ground}
			switch {
			case i == full && part > 0:
				r = eighths[part]
			case i >= full:
				r = ' '
			}
			f.Set(area.X+i, y, r, s)
		}
	}
}

// mark draws an upright line at a level over what is there.
func mark(f *Frame, area canvas.Rect, level float64, r rune, c canvas.Color) {
	x := area.X + levels.column(level, area.W)
	for y := area.Y; y < area.Y+area.H; y++ {
		_, under := f.At(x, y)
		under.FG, under.Attr = c, canvas.Bold
		f.Set(x, y, r, under)
	}
}

// drawInput is the meter of what the converter delivers, one row a channel.
func drawInput(f *Frame, area canvas.Rect, d *Desk, gutter, figures int) {
	for c := range d.Reading.Channels {
		row := area.Row(c)
		channelName(f, row.Left(gutter), "Input", c, d)
		bar := row.Skip(gutter).Left(row.W - gutter - figures - 1)
		right := row.Right(figures)
		if d.Dead() {
			noSignal(f, bar)
			continue
		}
		now, slow := d.Reading.Input[c], d.Slow.Input[c]
		drawBar(f, bar, now.PeakDBFS, theme.Panel, func(int) (canvas.Color, rune) { return theme.Bar, '█' })
		mark(f, bar, 0, '│', theme.Rule)
		if holds(d) {
			mark(f, bar, now.HoldDBFS, '┃', theme.Hold)
		}
		levelFigures(f, right, slow.PeakDBFS, slow.HoldDBFS, d)
		faults(f, right.Skip(11), slow)
	}
}

// faults tells of overload before us, which nothing here can mend. The word
// takes the place of the held peak.
func faults(f *Frame, at canvas.Rect, l dsp.Level) {
	word := ""
	switch {
	case l.ClippedRuns > 0:
		word = " CLIPPED " + strconv.FormatInt(l.ClippedRuns, 10) + "× "
	case l.FlatTops > 0:
		word = " FLAT TOPS " + strconv.FormatInt(l.FlatTops, 10) + "× "
	default:
		return
	}
	if at.W <= canvas.Width(word) {
		word, _, _ = strings.Cut(strings.TrimSpace(word), " ")
	}
	f.Fill(at.Row(0), ' ', f.Style(theme.Ink))
	f.TextIn(at.Skip(1), word, f.Chip(theme.Over))
}

func holds(d *Desk) bool { return d.Settings.View.HoldSeconds > 0 }

func levelFigures(f *Frame, right canvas.Rect, peak, hold float64, d *Desk) int {
	x := f.TextIn(right, padLeft(figure(peak), 6), f.Strong(theme.Ink))
	x = f.Text(x, right.Y, " dBFS", f.Style(theme.Dim))
	if !holds(d) || right.W < 30 {
		return x
	}
	x = f.Text(x, right.Y, "  hold", f.Style(theme.Dim))
	return f.Text(x, right.Y, padLeft(figure(hold), 6), f.Style(theme.Ink))
}

func channelName(f *Frame, row canvas.Rect, name string, c int, d *Desk) {
	if c == 0 {
		f.TextIn(row.Inset(1, 0), name, f.Strong(theme.Ink))
	}
	if d.Reading.Channels > 1 {
		f.TextIn(row.Right(2), strconv.Itoa(c+1), f.Style(theme.Dim))
	}
}

func noSignal(f *Frame, bar canvas.Rect) {
	f.Fill(bar, '╱', canvas.Style{FG: theme.Rule, BG: theme.Ground})
	f.TextIn(bar.Rows((bar.H-1)/2, 1).Skip(2), " no signal ", f.Strong(theme.Ink))
}

// drawCamera is the meter on the camera's own scale: rows rows for all
// channels, then the scale.
func drawCamera(f *Frame, area canvas.Rect, d *Desk, gutter, figures int) {
	n := max(d.Reading.Channels, 1)
	thick := max((area.H-1)/n, 1)
	left := area.Left(area.W - figures - 1)
	for c := range d.Reading.Channels {
		rows := left.Rows(c*thick, thick)
		channelName(f, rows.Left(gutter), "Camera", c, d)
		drawCameraBar(f, rows.Skip(gutter), d, c)
	}
	drawScale(f, left.Rows(n*thick, 1).Skip(gutter), d.Settings.View.Camera)
	right := area.Right(figures)
	switch {
	case d.Dead():
	case area.H >= n+3 && d.Reading.Channels > 0:
		drawCameraWide(f, right, d)
	default:
		drawCameraFigures(f, right, d)
	}
}

func drawCameraBar(f *Frame, bar canvas.Rect, d *Desk, c int) {
	if d.Dead() {
		noSignal(f, bar)
		return
	}
	cameraBar(f, bar, d.Settings.View.Camera, d.Reading.Camera[c], holds(d))
}

// cameraBar is one channel on the camera's scale, with the target window.
func cameraBar(f *Frame, bar canvas.Rect, scale camera.Scale, now dsp.CameraLevel, hold bool) {
	step := (levels.hi - levels.lo) / float64(bar.W)
	drawBar(f, bar, now.PeakDBFS, theme.Panel, func(i int) (canvas.Color, rune) {
		return f.Zone(scale.Zone(levels.lo + (float64(i)+0.5)*step))
	})
	from, to := window(scale, bar.W)
	f.Tint(canvas.Rect{X: bar.X + from, Y: bar.Y, W: to - from, H: bar.H}, theme.Window)
	mark(f, bar, scale.ClipDBFS, '│', theme.Over)
	if hold {
		mark(f, bar, now.HoldDBFS, '┃', theme.Hold)
	}
}

// window gives the cells of the target window, from…to.
func window(s camera.Scale, w int) (from, to int) {
	from = int(levels.cells(s.TargetLowDBFS, w) + 0.5)
	return from, max(int(levels.cells(s.TargetHighDBFS, w)+0.5), from+1)
}

// drawScale writes the dB scale, the window and the clip point under the bar.
func drawScale(f *Frame, row canvas.Rect, s camera.Scale) {
	from, to := window(s, row.W)
	clip := levels.column(s.ClipDBFS, row.W)
	every := 10
	if row.W < 40 {
		every = 20
	}
	for v := -60; v < 0; v += every {
		text := figureInt(v)
		x := levels.column(float64(v), row.W)
		if x+len(text) > from-1 && x < to+1 || x+len(text) > clip {
			continue
		}
		f.Text(row.X+x, row.Y, text, f.Style(theme.Dim))
	}
	for i := from; i < to; i++ {
		r := '━'
		if i == from {
			r = '┗'
		}
		if i == to-1 {
			r = '┛'
		}
		f.Set(row.X+i, row.Y, r, f.Strong(theme.Target))
	}
	if word := " target "; to-from >= len(word)+2 {
		f.Text(row.X+from+(to-from-len(word))/2, row.Y, word, f.Strong(theme.Ink))
	}
	word := "clip"
	if room := row.W - clip; room < len(word) && clip-to > len(word) {
		f.Text(row.X+clip-len(word), row.Y, word, f.Style(theme.Ink))
	} else if room >= len(word) {
		f.Text(row.X+clip, row.Y, word, f.Style(theme.Ink))
	}
}
