package tui

import (
	"errors"
	"math"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/filter"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// monitor is the main screen: both meters, the bands, the chain.
type monitor struct {
	desk     *Desk
	bands    bandPlot
	controls [4]*control
	cuts     [2]*cutKnob
	chosen   int
	words    [4]Click // what the words beside the bands change
}

func newMonitor(d *Desk) Screen {
	m := &monitor{desk: d, bands: bandPlot{desk: d, cursor: oneKilohertz}}
	m.cuts = [2]*cutKnob{
		{of: d, last: filter.Cut{Hz: 80, Slope: 12}},
		{of: d, lowPass: true, last: filter.Cut{Hz: 12000, Slope: 12}},
	}
	m.controls = [4]*control{
		{knob: gainKnob{d}, name: "Gain", ask: "Gain in dB, −60 to +40:"},
		{knob: m.cuts[0], name: "High-pass", ask: "High-pass in Hz, or Hz/slope like 80/24, or off:"},
		{knob: m.cuts[1], name: "Low-pass", ask: "Low-pass in Hz, or Hz/slope like 12k/12, or off:"},
		{knob: &limitKnob{desk: d, last: 1}, name: "Limiter", letter: 5, ask: "Ceiling in dB under the camera's clip point, or off:"},
	}
	for i, c := range m.controls {
		c.desk, c.chosen = d, func() { m.chosen = i }
		if i == 1 || i == 2 {
			c.grip = &slopeGrip{knob: m.cuts[i-1], chosen: c.chosen}
		}
	}
	for i, key := range []string{"i", "c", "f", "o"} {
		m.words[i] = func() tea.Cmd { m.view(key); return nil }
	}
	return m
}

const monitorName = "Monitor"

func (*monitor) Name() string  { return monitorName }
func (*monitor) Open() tea.Cmd { return nil }

func (*monitor) Keys() []Key {
	return []Key{
		{"g h l e", "choose gain, high-pass, low-pass, limiter", "choose"},
		{"↑ ↓", "step what is chosen; PgUp PgDn in large steps", "step"},
		{"enter", "type its value", "type"},
		{"s", "slope of the filter: off, 6, 12, 18, 24 dB per octave; limiter on, off", "slope"},
		{"mouse", "drag a track or a slope, turn the wheel, press a band or a word", ""},
		{"← →", "band cursor; Home End to the ends", "band"},
		{"i", "bands of input or output", ""},
		{"c", "bands of channel 1, 2 or the sum", ""},
		{"f", "bands fast (125 ms) or slow (1 s)", ""},
		{"b", "bars: digital peak, quasi-peak I or II, VU", ""},
		{"o [ ]", "peak hold on, off; its time shorter, longer, until reset", ""},
		{"r", "reset holds, counts and loudness; “changed” beside them: the chain was changed since, integrated loudness and true peak hold sound from before", "reset"},
		{"w", "target window of the camera", ""},
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
		return m.controls[m.chosen].typed()
	case "w":
		return askTarget(m.desk)
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
	switch k := m.controls[m.chosen].knob.(type) {
	case *cutKnob:
		k.slope()
	case *limitKnob:
		k.toggle()
	default:
		m.desk.Say("Slope belongs to a filter: choose high-pass (h) or low-pass (l) first")
	}
}

func (m *monitor) step(key string) bool {
	return m.controls[m.chosen].key(key) || m.bands.key(key)
}

// view answers the keys that change how the meters are read.
func (m *monitor) view(key string) {
	v := m.desk.Settings.View
	switch key {
	case "i":
		v.BandTap = other(v.BandTap, dsp.TapOutput, dsp.TapInput)
	case "f":
		v.BandTime = other(v.BandTime, dsp.Fast, dsp.Slow)
	case "c":
		v.BandChannel = nextChannel(v.BandChannel, m.desk.Reading.Channels)
	case "o":
		v.HoldSeconds = other(min(v.HoldSeconds, 2), 2, 0)
	case "b":
		v.Ballistics = turn(ballistics[:], v.Ballistics, 1)
		m.desk.Say("The bars move as " + ballisticWords[v.Ballistics].full)
	case "[":
		v.HoldSeconds = holdTime(v.HoldSeconds, -1)
	case "]":
		v.HoldSeconds = holdTime(v.HoldSeconds, 1)
	case "r":
		m.desk.resetHolds()
		m.desk.Say("Holds, counts and loudness start anew")
	default:
		return
	}
	if v != m.desk.Settings.View {
		m.desk.SetView(v)
	}
}

func other[T comparable](now, a, b T) T {
	if now == a {
		return b
	}
	return a
}

func nextChannel(c dsp.BandChannel, channels int) dsp.BandChannel {
	if c++; int(c) >= channels || channels < 2 {
		return dsp.Sum
	}
	return c
}

var holdTimes = [...]float64{0, 1, 2, 5, 10, math.Inf(1)}

func holdTime(now float64, n int) float64 {
	at := 0
	for i, t := range holdTimes {
		if t <= now {
			at = i
		}
	}
	return holdTimes[min(max(at+n, 0), len(holdTimes)-1)]
}

func holdWords(seconds float64) string {
	switch {
	case seconds <= 0:
		return "hold off"
	case math.IsInf(seconds, 1):
		return "hold ∞"
	}
	return "hold " + figurePlain(seconds) + " s"
}

// askTarget asks for the camera's target window.
func askTarget(d *Desk) tea.Cmd {
	s := d.Camera.Scale
	text := figure(s.TargetLowDBFS) + " " + figure(s.TargetHighDBFS)
	return d.Ask("Target window in dBFS at the camera, low and high:", text, func(text string) (tea.Cmd, error) {
		c := d.Camera
		parts := strings.Fields(strings.NewReplacer("…", " ", ";", " ", " to ", " ").Replace(text))
		if len(parts) != 2 {
			return nil, errors.New("type two figures, like −12 −6")
		}
		lo, ok1 := parseNumber(parts[0])
		hi, ok2 := parseNumber(parts[1])
		if !ok1 || !ok2 {
			return nil, errors.New("type two figures, like −12 −6")
		}
		if err := rig.SetTarget(&c, lo, hi); err != nil {
			return nil, err
		}
		return d.changeCamera(c), nil
	})
}

// Draw lays the screen out from the top; the bands get what is left.
func (m *monitor) Draw(f *Frame, area canvas.Rect) {
	l := layout(area, max(m.desk.Reading.Channels, 1))
	drawAdvice(f, l.advice, m.desk)
	a := newAxis(area)
	left := a.x
	if area.W < 112 { // the meters need the room more than a common left edge
		left = leastGutter
	}
	drawInput(f, l.input, m.desk, left, l.figures)
	drawCamera(f, l.camera, m.desk, left, l.figures)
	drawLoudness(f, l.loudness.Skip(left), m.desk)
	drawMixed(f, l.loudness.Left(left), m.desk)
	m.bands.draw(f, l.bands, a)
	m.drawWords(f, l.bands)
	m.bands.drawFrequencies(f, l.scale)
	m.drawCursor(f, l.cursor)
	for i, c := range m.controls {
		c.draw(f, l.controls.Row(i), a, i == m.chosen)
	}
}

// drawWords writes beside the bands what they show; a press changes it.
func (m *monitor) drawWords(f *Frame, area canvas.Rect) {
	m.drawRoomWord(f, area.Rows(5, 1))
	for i, word := range bandWords(m.desk.Settings.View, m.bands.axis.x >= 26) {
		row := area.Rows(i, 1)
		if row.H == 0 {
			return
		}
		at := canvas.Rect{X: row.X + 1, Y: row.Y, W: m.bands.axis.x - 5, H: 1}
		f.TextIn(at, word, f.Style(theme.Ink))
		f.Hit(at, m.words[min(i, len(m.words)-1)])
	}
}

// drawRoomWord says what the dotted line is, where there is one.
func (m *monitor) drawRoomWord(f *Frame, row canvas.Rect) {
	if m.desk.Checked == nil || row.H == 0 {
		return
	}
	text := "··room"
	if m.bands.axis.x >= 26 {
		text = "·· room tone, " + ago(m.desk.At.Sub(m.desk.Checked.At))
	}
	f.TextIn(canvas.Rect{X: row.X + 1, Y: row.Y, W: m.bands.axis.x - 5, H: 1}, text, f.Style(theme.Room))
}

// bandWords says what the bands show, in short or in full.
func bandWords(v dsp.View, full bool) [5]string {
	channel, long := "sum", "sum of the channels"
	if v.BandChannel >= 0 {
		n := figureInt(int(v.BandChannel) + 1)
		channel, long = "ch "+n, "channel "+n
	}
	time := "fast, 125 ms"
	if v.BandTime == dsp.Slow {
		time = "slow, 1 s"
	}
	hold := holdWords(v.HoldSeconds)
	if full {
		return [5]string{"bands at the " + string(v.BandTap), long, time, hold}
	}
	hold, seconds, _ := strings.Cut(hold, " ")
	return [5]string{string(v.BandTap), channel, string(v.BandTime), hold, seconds}
}

// drawCursor tells about the band under the cursor.
func (m *monitor) drawCursor(f *Frame, area canvas.Rect) {
	row := area.Row(0)
	i := m.bands.cursor
	band, b := bands.At(i), m.desk.Slow.Bands[i]
	x := f.TextIn(row.Inset(1, 0), "▲ "+hertz(band.NominalHz), f.Chosen())
	text := "  " + strings.TrimSuffix(hertz(band.LowHz), " Hz") + "–" + hertz(band.HighHz) + "  "
	x = f.Text(x, row.Y, text, f.Style(theme.Dim))
	if i >= m.desk.Reading.BandsUsable {
		f.Text(x, row.Y, "above what this sample rate carries", f.Style(theme.Ink))
		return
	}
	if m.desk.Dead() {
		b.LevelDBFS, b.HoldDBFS = math.NaN(), math.NaN()
	}
	x = f.Text(x, row.Y, padLeft(figure(b.LevelDBFS), 5), f.Strong(theme.Ink))
	x = f.Text(x, row.Y, " dBFS", f.Style(theme.Dim))
	if holds(m.desk) {
		x = f.Text(x, row.Y, "  hold "+figure(b.HoldDBFS), f.Style(theme.Dim))
	}
	if v := m.desk.RoomTone(i); !math.IsNaN(v) {
		x = f.Text(x, row.Y, "  room "+figure(v), f.Style(theme.Dim))
	}
	rest := canvas.Rect{X: x + 2, Y: row.Y, W: row.X + row.W - x - 3, H: 1}
	if area.H > 1 {
		rest = area.Row(1).Inset(3, 0)
	}
	f.TextIn(rest, band.LivesHere, f.Style(theme.Ink))
}
