// Package monitor is the main screen: both meters, the bands, the chain.
package monitor

import (
	"math"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/filter"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// monitor is the main screen: both meters, the bands, the chain.
type monitor struct {
	desk     *desk.Desk
	bands    view.BandPlot
	controls [4]*view.Control
	cuts     [2]*view.CutKnob
	chosen   int
	words    [4]widget.Click // what the words beside the bands change
}

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	m := &monitor{desk: d, bands: view.BandPlot{Desk: d, Cursor: view.OneKilohertz}}
	m.cuts = [2]*view.CutKnob{
		{Of: d, Last: filter.Cut{Hz: 80, Slope: 12}},
		{Of: d, LowPass: true, Last: filter.Cut{Hz: 12000, Slope: 12}},
	}
	m.controls = [4]*view.Control{
		{Knob: view.GainKnob{Of: d}, Name: "Gain", Ask: "Gain in dB, −60 to +40:"},
		{Knob: m.cuts[0], Name: "High-pass", Ask: "High-pass in Hz, or Hz/slope like 80/24, or off:"},
		{Knob: m.cuts[1], Name: "Low-pass", Ask: "Low-pass in Hz, or Hz/slope like 12k/12, or off:"},
		{Knob: &view.LimitKnob{Desk: d, Last: 1}, Name: "Limiter", Letter: 5, Ask: "Ceiling in dB under the camera's clip point, or off:"},
	}
	for i, c := range m.controls {
		c.Desk, c.Chosen = d, func() { m.chosen = i }
		if i == 1 || i == 2 {
			c.Grip = &view.SlopeGrip{Knob: m.cuts[i-1], Chosen: c.Chosen}
		}
	}
	for i, key := range []string{"i", "c", "f", "o"} {
		m.words[i] = func() tea.Cmd { m.view(key); return nil }
	}
	return m
}

func (*monitor) Name() string { return desk.MonitorName }

func (*monitor) Open() tea.Cmd { return nil }

func (*monitor) Keys() []desk.Key {
	return []desk.Key{
		{Press: "g h l e", Does: "choose gain, high-pass, low-pass, limiter", Short: "choose"},
		{Press: "↑ ↓", Does: "step what is chosen; PgUp PgDn in large steps", Short: "step"},
		{Press: "enter", Does: "type its value", Short: "type"},
		{Press: "s", Does: "slope of the filter: off, 6, 12, 18, 24 dB per octave; limiter on, off", Short: "slope"},
		{Press: "mouse", Does: "drag a track or a slope, turn the wheel, press a band or a word"},
		{Press: "← →", Does: "band cursor; Home End to the ends", Short: "band"},
		{Press: "i", Does: "bands of input or output"},
		{Press: "c", Does: "bands of channel 1, 2 or the sum"},
		{Press: "f", Does: "bands fast (125 ms) or slow (1 s)"},
		{Press: "b", Does: "bars: digital peak, quasi-peak I or II, VU"},
		{Press: "o [ ]", Does: "peak hold on, off; its time shorter, longer, until reset"},
		{Press: "r", Does: "reset holds, counts and loudness; “changed” beside them: the chain was changed since, integrated loudness and true peak hold sound from before", Short: "reset"},
		{Press: "w", Does: "target window of the camera"},
	}
}

// Update answers keys.
func (m *monitor) Update(msg tea.Msg) tea.Cmd {
	key, ok := msg.(tea.KeyPressMsg)
	if !ok {
		return nil
	}
	switch k := key.String(); k {
	case "g":
		m.chosen = 0
	case "h":
		m.chosen = 1
	case "l":
		m.chosen = 2
	case "e":
		m.chosen = 3
	case "enter":
		return m.controls[m.chosen].Typed()
	case "w":
		return view.AskTarget(m.desk)
	case "s":
		m.slope()
	default:
		if !m.step(k) {
			m.view(k)
		}
	}
	return nil
}

// slope goes on with what is chosen: a filter's slope, the limiter's switch.
func (m *monitor) slope() {
	switch k := m.controls[m.chosen].Knob.(type) {
	case *view.CutKnob:
		k.Slope()
	case *view.LimitKnob:
		k.Toggle()
	default:
		m.desk.Say("Slope belongs to a filter: choose high-pass (h) or low-pass (l) first")
	}
}

func (m *monitor) step(key string) bool {
	return m.controls[m.chosen].Key(key) || m.bands.Key(key)
}

// view answers the keys that change how the meters are read.
func (m *monitor) view(key string) {
	v := m.desk.Settings.View
	switch key {
	case "i":
		v.BandTap = widget.Other(v.BandTap, dsp.TapOutput, dsp.TapInput)
	case "f":
		v.BandTime = widget.Other(v.BandTime, dsp.Fast, dsp.Slow)
	case "c":
		v.BandChannel = nextChannel(v.BandChannel, m.desk.Reading.Channels)
	case "o":
		v.HoldSeconds = widget.Other(min(v.HoldSeconds, 2), 2, 0)
	case "b":
		v.Ballistics = widget.Turn(view.Ballistics[:], v.Ballistics, 1)
		m.desk.Say("The bars move as " + view.BallisticWords[v.Ballistics].Full)
	case "[":
		v.HoldSeconds = view.HoldTime(v.HoldSeconds, -1)
	case "]":
		v.HoldSeconds = view.HoldTime(v.HoldSeconds, 1)
	case "r":
		m.desk.ResetHolds()
		m.desk.Say("Holds, counts and loudness start anew")
	default:
		return
	}
	if v != m.desk.Settings.View {
		m.desk.SetView(v)
	}
}

func nextChannel(c dsp.BandChannel, channels int) dsp.BandChannel {
	if c++; int(c) >= channels || channels < 2 {
		return dsp.Sum
	}
	return c
}

// Draw lays the screen out from the top; the bands get what is left.
func (m *monitor) Draw(f *widget.Frame, area canvas.Rect) {
	l := layout(area, max(m.desk.Reading.Channels, 1))
	view.DrawAdvice(f, l.advice, m.desk)
	a := view.NewAxis(area)
	left := a.X
	if area.W < 112 { // the meters need the room more than a common left edge
		left = view.LeastGutter
	}
	view.DrawInput(f, l.input, m.desk, left, l.figures)
	view.DrawCamera(f, l.camera, m.desk, left, l.figures)
	drawLoudness(f, l.loudness.Skip(left), m.desk)
	drawMixed(f, l.loudness.Left(left), m.desk)
	m.bands.Draw(f, l.bands, a)
	m.drawWords(f, l.bands)
	m.bands.DrawFrequencies(f, l.scale)
	m.drawCursor(f, l.cursor)
	for i, c := range m.controls {
		c.Draw(f, l.controls.Row(i), a, i == m.chosen)
	}
}

// drawWords writes beside the bands what they show; a press changes it.
func (m *monitor) drawWords(f *widget.Frame, area canvas.Rect) {
	m.drawRoomWord(f, area.Rows(5, 1))
	for i, word := range bandWords(m.desk.Settings.View, m.bands.Axis.X >= 26) {
		row := area.Rows(i, 1)
		if row.H == 0 {
			return
		}
		at := canvas.Rect{X: row.X + 1, Y: row.Y, W: m.bands.Axis.X - 5, H: 1}
		f.TextIn(at, word, f.Style(theme.Ink))
		f.Hit(at, m.words[min(i, len(m.words)-1)])
	}
}

// drawRoomWord says what the dotted line is, where there is one.
func (m *monitor) drawRoomWord(f *widget.Frame, row canvas.Rect) {
	if m.desk.Checked == nil || row.H == 0 {
		return
	}
	text := "··room"
	if m.bands.Axis.X >= 26 {
		text = "·· room tone, " + format.Ago(m.desk.At.Sub(m.desk.Checked.At))
	}
	f.TextIn(canvas.Rect{X: row.X + 1, Y: row.Y, W: m.bands.Axis.X - 5, H: 1}, text, f.Style(theme.Room))
}

// bandWords says what the bands show, in short or in full.
func bandWords(v dsp.View, full bool) [5]string {
	channel, long := "sum", "sum of the channels"
	if v.BandChannel >= 0 {
		n := format.FigureInt(int(v.BandChannel) + 1)
		channel, long = "ch "+n, "channel "+n
	}
	time := "fast, 125 ms"
	if v.BandTime == dsp.Slow {
		time = "slow, 1 s"
	}
	hold := view.HoldWords(v.HoldSeconds)
	if full {
		return [5]string{"bands at the " + string(v.BandTap), long, time, hold}
	}
	hold, seconds, _ := strings.Cut(hold, " ")
	return [5]string{string(v.BandTap), channel, string(v.BandTime), hold, seconds}
}

// drawCursor tells about the band under the cursor.
func (m *monitor) drawCursor(f *widget.Frame, area canvas.Rect) {
	row := area.Row(0)
	i := m.bands.Cursor
	band, b := bands.At(i), m.desk.Slow.Bands[i]
	x := f.TextIn(row.Inset(1, 0), "▲ "+format.Hertz(band.NominalHz), f.Chosen())
	text := "  " + strings.TrimSuffix(format.Hertz(band.LowHz), " Hz") + "–" + format.Hertz(band.HighHz) + "  "
	x = f.Text(x, row.Y, text, f.Style(theme.Dim))
	if i >= m.desk.Reading.BandsUsable {
		f.Text(x, row.Y, "above what this sample rate carries", f.Style(theme.Ink))
		return
	}
	if m.desk.Dead() {
		b.LevelDBFS, b.HoldDBFS = math.NaN(), math.NaN()
	}
	x = f.Text(x, row.Y, format.PadLeft(format.Figure(b.LevelDBFS), 5), f.Strong(theme.Ink))
	x = f.Text(x, row.Y, " dBFS", f.Style(theme.Dim))
	if view.Holds(m.desk) {
		x = f.Text(x, row.Y, "  hold "+format.Figure(b.HoldDBFS), f.Style(theme.Dim))
	}
	if v := m.desk.RoomTone(i); !math.IsNaN(v) {
		x = f.Text(x, row.Y, "  room "+format.Figure(v), f.Style(theme.Dim))
	}
	rest := canvas.Rect{X: x + 2, Y: row.Y, W: row.X + row.W - x - 3, H: 1}
	if area.H > 1 {
		rest = area.Row(1).Inset(3, 0)
	}
	f.TextIn(rest, band.LivesHere, f.Style(theme.Ink))
}
