package tui

import (
	"math"
	"strconv"

	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/widget"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig/output"
	"rollready/dsp/lipsync"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// soundGrip is the headphones' state in the status row: a press mutes, the
// wheel turns the level.
type soundGrip struct{ desk *desk.Desk }

// Press mutes or lets be heard.
func (g soundGrip) Press(int, int) tea.Cmd { g.desk.ToggleMute(); return nil }

// Drag does nothing: a level must not jump.
func (soundGrip) Drag(int, int) {}

// Wheel turns the level.
func (g soundGrip) Wheel(up int) { g.desk.StepLevel(up) }

// drawSound writes at the right end of the status row what is heard and when
// it arrives, as far as there is room, and gives the rest of the row.
func drawSound(f *widget.Frame, row canvas.Rect, d *desk.Desk) canvas.Rect {
	if !d.Phones.Open && !d.ToCamera.Open {
		return row
	}
	var words []string
	width := 0
	for n, text := range soundWords(d, row.W) {
		if w := canvas.Width(text) + 2; text != "" && (n == 0 || width+w <= row.W-64) {
			words, width = append(words, text), width+w
		}
	}
	at := row.Right(width)
	f.Fill(at, ' ', f.Style(theme.Ink).On(theme.Panel))
	x := at.X + 1
	for n, text := range words {
		style := f.Style(theme.Dim).On(theme.Panel)
		if n == 0 {
			style = phonesStyle(f, d)
			f.Hit(canvas.Rect{X: at.X, Y: at.Y, W: canvas.Width(text) + 2, H: 1}, soundGrip{d})
		}
		x = f.Text(x, at.Y, text, style) + 2
	}
	return row.Left(row.W - at.W)
}

// drawNotFed marks on every screen that the camera gets nothing from here, and
// gives the rest of the row.
func drawNotFed(f *widget.Frame, row canvas.Rect, d *desk.Desk, short bool) canvas.Rect {
	if d.ToCamera.Open {
		return row
	}
	text := " CAMERA NOT FED "
	if short {
		text = " NOT FED "
	}
	f.TextIn(row.Right(canvas.Width(text)), text, f.Chip(theme.Hot))
	return row.Left(row.W - canvas.Width(text))
}

func phonesStyle(f *widget.Frame, d *desk.Desk) canvas.Style {
	s := f.Strong(theme.Ink).On(theme.Panel)
	if d.Phones.Open && !d.Phones.Muted {
		s = f.Chosen().On(theme.Panel)
	}
	return s
}

// soundWords are the parts of the state, the most needed first; "" where
// there is nothing to tell.
func soundWords(d *desk.Desk, width int) []string {
	first := "no headphones"
	if d.Phones.Open {
		first = phonesWords(d.Phones.Status, width >= 100)
	}
	way, name := d.LateWay(), ""
	if d.ToCamera.Open {
		name = "camera "
	}
	if way.Lost || way.DelayMS <= 0 {
		return []string{first, breakWords(name, way.Status)}
	}
	words := []string{first, breakWords(name, way.Status),
		name + format.Figure(way.DelayMS) + " ms " + pictures(way.DelayMS, d.FrameRate())}
	if width >= 140 { // the preset and the camera tell more than the drift
		words = append(words, driftWords(way.DriftPPM))
	}
	return words
}

func phonesWords(s output.Status, full bool) string {
	level := format.FigureInt(int(math.Round(s.LevelDB))) + " dB"
	switch {
	case s.Lost:
		return "phones LOST"
	case !s.Muted && s.Volume.Muted:
		return "system mutes phones"
	case !s.Muted:
		return "phones " + level
	}
	text := "phones MUTED"
	if s.Back {
		text = "phones back, MUTED"
	}
	if full {
		text += " at " + level
	}
	return text
}

func breakWords(whose string, s output.Status) string {
	if s.Dropouts == 0 {
		return ""
	}
	return whose + "broke off " + strconv.FormatInt(s.Dropouts, 10) + "×"
}

func driftWords(ppm float64) string {
	return "drift " + format.SignedInt(int(math.Round(ppm))) + " ppm"
}

// pictures writes a delay in pictures of the camera.
func pictures(ms, perSecond float64) string {
	return strconv.FormatFloat(lipsync.Frames(ms, perSecond), 'f', 2, 64) + " pictures"
}
