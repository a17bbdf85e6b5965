package compare

import (
	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig/output"
	"rollready/dsp/compare"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// sideGrip is the head of a side: a press lets it be heard, the wheel goes
// through the presets.
type sideGrip struct {
	c *comparison
	s compare.Side
}

// Press lets the side be heard.
func (g sideGrip) Press(int, int) tea.Cmd {
	if g.c.blind.On() {
		g.c.hearBlind(g.s.String())
		return nil
	}
	g.c.hear(output.Side(g.s))
	return nil
}

// Drag does nothing.
func (sideGrip) Drag(int, int) {}

// Wheel goes on to another preset.
func (g sideGrip) Wheel(up int) {
	if !g.c.blind.On() {
		g.c.turnPreset(g.s, -up)
	}
}

// drawSide is one side: what it is, and its meter on the camera's scale.
func (c *comparison) drawSide(f *widget.Frame, area canvas.Rect, s compare.Side, gutter, figures int) {
	grip := sideGrip{c, s}
	f.Hit(area, widget.Click(func() tea.Cmd { return grip.Press(0, 0) }))
	f.Hit(area.Row(0), grip)
	c.drawSideHead(f, area.Row(0), s, figures)
	channels := max(c.state.Readings[s].Fed, 1)
	meters := area.Rows(1, area.H-1)
	bars := min(meters.H, channels)
	thick := meters.H / bars
	for ch := range bars {
		rows := meters.Rows(ch*thick, thick)
		bar := rows.Skip(gutter).Left(rows.W - gutter - figures - 1)
		if bars > 1 {
			f.TextIn(rows.Left(gutter).Right(2), format.FigureInt(ch+1), f.Style(theme.Dim))
		}
		if c.dead() {
			widget.NoSignal(f, bar)
			continue
		}
		now, slow := c.state.Readings[s].Camera[ch], c.slow.Readings[s].Camera[ch]
		if bars < channels {
			now, slow = view.Worst(&c.state.Readings[s]), view.Worst(&c.slow.Readings[s])
		}
		d := c.desk
		view.CameraBar(f, bar, d.Settings.View.Camera, now, view.Holds(d))
		view.CameraFigures(f, rows.Right(figures).Row(0), slow, d)
	}
}

func (c *comparison) drawSideHead(f *widget.Frame, row canvas.Rect, s compare.Side, figures int) {
	heard := c.heard == output.Side(s)
	if c.blind.On() {
		heard = c.blind.hears == s.String()
	}
	tag := f.Strong(theme.Ink).On(theme.Panel)
	if heard {
		tag = f.Picked()
	}
	f.Text(row.X+1, row.Y, " "+s.String()+" ", tag)
	left := row.Left(row.W - figures - 2).Skip(5)
	x := f.TextIn(left, c.sides[s].Words(), f.Strong(theme.Ink)) + 2
	rest := canvas.Rect{X: x, Y: row.Y, W: left.X + left.W - x, H: 1}
	if heard {
		word := c.heardWord(s)
		f.TextRight(rest, word, f.Chosen())
		rest.W -= canvas.Width(word) + 2
	}
	who := ""
	if c.parted() {
		who = c.desk.Called() + " "
	}
	for _, words := range [...]string{view.ChainWords(c.chain(s)), format.Signed(c.chain(s).GainDB) + " dB"} {
		if words = who + words; canvas.Width(words) <= rest.W {
			f.TextIn(rest, words, f.Style(theme.Dim))
			break
		}
	}
	if c.dead() {
		return
	}
	right := row.Right(figures)
	x = f.TextIn(right, format.PadLeft(format.Figure(view.Worst(&c.slow.Readings[s]).LeastHeadroomDB), 6), f.Strong(theme.Ink))
	f.TextIn(canvas.Rect{X: x, Y: row.Y, W: right.X + right.W - x, H: 1}, " dB headroom", f.Style(theme.Ink))
}

// heardWord says how the side that is in hand is heard.
func (c *comparison) heardWord(s compare.Side) string {
	if !c.desk.Phones.Open {
		return "in hand"
	}
	if c.desk.Phones.Muted || c.desk.Phones.Lost {
		return "muted"
	}
	if g := c.slow.GainsDB[s]; c.slow.Matched && g < -0.05 {
		return "heard at " + format.Figure(g) + " dB"
	}
	return "heard"
}
