package view

import (
	"strconv"
	"strings"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/strips"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// levels is the scale of both level meters in dBFS. It ends above full scale:
// with an offset the output can be past what the camera takes.
var levels = widget.Span{Lo: -60, Hi: 3}

// FigureCells is how many cells figures beside meters have in a row of a width.
func FigureCells(width int) int {
	if width < 76 {
		return 20
	}
	return 33
}

// DrawInput is the meter of what the converter delivers, one row a channel.
func DrawInput(f *widget.Frame, area canvas.Rect, d *desk.Desk, gutter, figures int) {
	for c := range d.Reading.Channels {
		row := area.Row(c)
		bar := row.Skip(gutter).Left(row.W - gutter - figures - 1)
		if set := &d.Settings.Strips; set.Unlinked || set.Strips[c].Name != "" {
			stripName(f, row.Left(gutter), c, d)
			bar = stripWords(f, bar, c, d)
		} else {
			channelName(f, row.Left(gutter), "Input", c, d.Reading.Channels)
		}
		right := row.Right(figures)
		if d.Dead() {
			widget.NoSignal(f, bar)
			continue
		}
		now, slow := d.Reading.Input[c], d.Slow.Input[c]
		DrawBar(f, bar, now.PeakDBFS, theme.Panel, func(int) (canvas.Color, rune) { return theme.Bar, '█' })
		Mark(f, bar, 0, '│', theme.Rule)
		if Holds(d) {
			Mark(f, bar, now.HoldDBFS, '┃', theme.Hold)
		}
		LevelFigures(f, right, slow.PeakDBFS, slow.HoldDBFS, d)
		Faults(f, right.Skip(11), slow)
	}
}

// stripName is who speaks into a microphone; the chosen one is marked.
func stripName(f *widget.Frame, row canvas.Rect, c int, d *desk.Desk) {
	name, style := d.Settings.Strips.Strips[c].Name, f.Style(theme.Ink)
	if name == "" {
		name = "mic " + strconv.Itoa(c+1)
	}
	if d.Settings.Strips.Unlinked && c == d.Settings.Strip {
		f.TextIn(row, "▸", f.Strong(theme.Ink))
		style = f.Strong(theme.Ink)
	}
	f.TextIn(row.Inset(1, 0), name, style)
}

// stripCells is how much room the settings of a strip take.
const stripCells = 24

// stripWords writes gain and filters of a strip with controls of its own at the
// end of its bar, and gives what is left of it.
func stripWords(f *widget.Frame, bar canvas.Rect, c int, d *desk.Desk) canvas.Rect {
	strip := d.Settings.Strips.Strips[c]
	if !d.Settings.Strips.Unlinked || bar.W < stripCells+10 {
		return bar
	}
	text := format.Signed(strip.Chain.GainDB) + " dB " + strip.Chain.HighPass.String() + " " + strip.Chain.LowPass.String()
	if strip.Inverted {
		text += " ø"
	}
	if strip.Muted {
		text = "MUTED " + text
	}
	f.TextIn(bar.Right(stripCells).Skip(1), text, f.Style(theme.Ink))
	return bar.Left(bar.W - stripCells)
}

// Faults tells of overload before us, which nothing here can mend. The word
// takes the place of the held peak.
func Faults(f *widget.Frame, at canvas.Rect, l dsp.Level) {
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

// Holds tells whether peaks are held.
func Holds(d *desk.Desk) bool { return d.Settings.View.HoldSeconds > 0 }

// LevelFigures write a level and its held peak in dBFS, and give the x after them.
func LevelFigures(f *widget.Frame, right canvas.Rect, peak, hold float64, d *desk.Desk) int {
	x := f.TextIn(right, format.PadLeft(format.Figure(peak), 6), f.Strong(theme.Ink))
	x = f.Text(x, right.Y, " dBFS", f.Style(theme.Dim))
	if !Holds(d) || right.W < 30 {
		return x
	}
	x = f.Text(x, right.Y, "  hold ", f.Style(theme.Dim))
	return f.Text(x, right.Y, format.PadLeft(format.Figure(hold), 6), f.Style(theme.Ink))
}

func channelName(f *widget.Frame, row canvas.Rect, name string, c, of int) {
	if c == 0 {
		f.TextIn(row.Inset(1, 0), name, f.Strong(theme.Ink))
	}
	if of > 1 {
		f.TextIn(row.Right(2), strconv.Itoa(c+1), f.Style(theme.Dim))
	}
}

// DrawCamera is the meter on the camera's own scale: rows rows for all
// channels, then the scale.
func DrawCamera(f *widget.Frame, area canvas.Rect, d *desk.Desk, gutter, figures int) {
	n := max(d.Reading.Fed, 1)
	thick := max((area.H-1)/n, 1)
	left := area.Left(area.W - figures - 1)
	for c := range d.Reading.Fed {
		rows := left.Rows(c*thick, thick)
		if set := d.Settings.Strips.Fit(d.Status.Picked.Count); c == 1 && set.Layout() == strips.Safety {
			f.TextIn(rows.Left(gutter).Inset(1, 0), "safety", f.Style(theme.Ink))
		}
		channelName(f, rows.Left(gutter), "Camera", c, n)
		drawCameraBar(f, rows.Skip(gutter), d, c)
	}
	DrawScale(f, left.Rows(n*thick, 1).Skip(gutter), d.Settings.View.Camera)
	right := area.Right(figures)
	switch {
	case d.Dead():
	case area.H >= n+3 && d.Reading.Fed > 0:
		drawCameraWide(f, right, d)
	default:
		drawCameraFigures(f, right, d)
	}
}

func drawCameraBar(f *widget.Frame, bar canvas.Rect, d *desk.Desk, c int) {
	if d.Dead() {
		widget.NoSignal(f, bar)
		return
	}
	CameraBar(f, bar, d.Settings.View.Camera, d.Reading.Camera[c], Holds(d))
}

// CameraBar is one channel on the camera's scale, with the target window.
func CameraBar(f *widget.Frame, bar canvas.Rect, scale camera.Scale, now dsp.CameraLevel, hold bool) {
	step := (levels.Hi - levels.Lo) / float64(bar.W)
	DrawBar(f, bar, now.PeakDBFS, theme.Panel, func(i int) (canvas.Color, rune) {
		return f.Zone(scale.Zone(levels.Lo + (float64(i)+0.5)*step))
	})
	from, to := window(scale, bar.W)
	f.Tint(canvas.Rect{X: bar.X + from, Y: bar.Y, W: to - from, H: bar.H}, theme.Window)
	Mark(f, bar, scale.ClipDBFS, '│', theme.Over)
	if hold {
		Mark(f, bar, now.HoldDBFS, '┃', theme.Hold)
	}
}

// window gives the cells of the target window, from…to.
func window(s camera.Scale, w int) (from, to int) {
	from = int(levels.Cells(s.TargetLowDBFS, w) + 0.5)
	return from, max(int(levels.Cells(s.TargetHighDBFS, w)+0.5), from+1)
}

// DrawScale writes the dB scale, the window and the clip point under the bar.
func DrawScale(f *widget.Frame, row canvas.Rect, s camera.Scale) {
	from, to := window(s, row.W)
	clip := levels.Column(s.ClipDBFS, row.W)
	every := 10
	if row.W < 40 {
		every = 20
	}
	for v := -60; v < 0; v += every {
		text := format.FigureInt(v)
		x := levels.Column(float64(v), row.W)
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
