// Package monitor is the main screen: both meters, the bands, the chain.
package monitor

import (
	"math"
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/keys"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// monitor is the main screen: both meters, the bands, the chain.
type monitor struct {
	desk  *desk.Desk
	bands view.BandPlot
	board *view.Board
	table keys.Table
}

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	m := &monitor{desk: d, bands: view.BandPlot{Desk: d, Cursor: view.OneKilohertz}}
	m.board = view.NewBoard(d, d, &view.Control{Knob: &view.LimitKnob{Desk: d, Last: 1}, Name: "Limiter", Letter: 5,
		Ask: "Ceiling in dB under the camera's clip point, or off:"})
	m.table = slices.Concat(m.board.Keys(), keys.Table{
		{Shown: "mouse", Does: "drag a track or a slope, turn the wheel, press a band or a word"},
		m.bands.Keys(),
		{Press: "r", Does: "reset holds, counts and loudness; “changed” beside them: the chain was changed since, integrated loudness and true peak hold sound from before", Word: "reset", Do: keys.Then(m.reset)},
		{Press: "i", Does: "bands of input or output", Do: m.reads(func(v *dsp.View) { v.BandTap = widget.Other(v.BandTap, dsp.TapOutput, dsp.TapInput) })},
		{Press: "c", Does: "bands of channel 1, 2 or the sum", Do: m.reads(func(v *dsp.View) { v.BandChannel = nextChannel(v.BandChannel, d.Reading.Channels) })},
		{Press: "f", Does: "bands fast (125 ms) or slow (1 s)", Do: m.reads(func(v *dsp.View) { v.BandTime = widget.Other(v.BandTime, dsp.Fast, dsp.Slow) })},
		{Press: "b", Does: "bars: digital peak, quasi-peak I or II, VU", Do: m.reads(m.ballistics)},
		{Press: "o", Does: "peak hold on, off", Do: m.reads(func(v *dsp.View) { v.HoldSeconds = widget.Other(min(v.HoldSeconds, 2), 2, 0) })},
		{Press: "[", Does: "hold time shorter", Do: m.reads(func(v *dsp.View) { v.HoldSeconds = view.HoldTime(v.HoldSeconds, -1) })},
		{Press: "]", Does: "hold time longer, until reset", Do: m.reads(func(v *dsp.View) { v.HoldSeconds = view.HoldTime(v.HoldSeconds, 1) })},
		{Press: "w", Does: "target window of the camera", Do: keys.Cmd(func() tea.Cmd { return view.AskTarget(d) })},
	}, m.stripKeys())
	return m
}

// Name is the word on the tab.
func (*monitor) Name() string { return desk.MonitorName }

// Keys is the table of keys.
func (m *monitor) Keys() keys.Table { return m.table }

// Update has nothing to wait for.
func (*monitor) Update(tea.Msg) tea.Cmd { return nil }

// Open has nothing to begin.
func (*monitor) Open() tea.Cmd { return nil }

// reads makes a change of how the meters are read an answer to a key.
func (m *monitor) reads(change func(*dsp.View)) func(string) tea.Cmd {
	return keys.Then(func() {
		v := m.desk.Settings.View
		change(&v)
		m.desk.SetView(v)
	})
}

func (m *monitor) ballistics(v *dsp.View) {
	v.Ballistics = widget.Turn(view.Ballistics[:], v.Ballistics, 1)
	m.desk.Say("The bars move as " + view.BallisticWords[v.Ballistics].Full)
}

func (m *monitor) reset() {
	m.desk.ResetHolds()
	m.desk.Say("Holds, counts and loudness start anew")
}

func nextChannel(c dsp.BandChannel, channels int) dsp.BandChannel {
	if c++; int(c) >= channels || channels < 2 {
		return dsp.Sum
	}
	return c
}

// Draw lays the screen out from the top; the bands get what is left.
func (m *monitor) Draw(f *widget.Frame, area canvas.Rect) {
	l := layout(area, max(m.desk.Reading.Channels, 1), max(m.desk.Reading.Fed, 1))
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
	m.board.Draw(f, l.controls, a)
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
		key := [...]string{"i", "c", "f", "o", "o"}[i]
		f.Hit(at, widget.Click(func() tea.Cmd { cmd, _ := m.table.Do(key); return cmd }))
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
