package view

import (
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp/filter"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// Knob is what a control sets: where it stands on its track and how it moves.
type Knob interface {
	at(a Axis) float64           // place in cells from the left end
	words() string               // setting with unit
	off() bool                   // a filter that does nothing
	set(a Axis, at float64)      // to a place on the track
	step(n int, coarse bool)     // by key or wheel
	parse(text string) error     // as typed
	paint(a Axis, cell int) rune // track at a cell
}

// Control is one row: key, name, track, setting.
type Control struct {
	Knob
	Name, Ask string
	Letter    int // place in name of the letter that is its key
	Desk      *desk.Desk
	Chosen    func() // makes it the one the keys act on
	axis      Axis
	grabX     int
	grabAt    float64
	moved     bool
	Grip      *SlopeGrip // nil: no slope
}

// letter is its key.
func (c *Control) letter() string { return strings.ToLower(c.Name[c.Letter : c.Letter+1]) }

// Press takes hold of the setting where it is.
func (c *Control) Press(x, _ int) tea.Cmd {
	c.Chosen()
	c.grabX, c.grabAt, c.moved = x, c.at(c.axis), false
	return nil
}

// Drag moves the setting with the mouse, to the end of the track at most.
func (c *Control) Drag(x, _ int) {
	if c.moved = c.moved || x != c.grabX; c.moved {
		c.set(c.axis, min(max(c.grabAt+float64(x-c.grabX), 0), float64(c.axis.Width())))
	}
}

// Wheel steps the setting.
func (c *Control) Wheel(up int) { c.Chosen(); c.step(up, false) }

func (c *Control) key(k string) {
	switch k {
	case "up":
		c.step(1, false)
	case "down":
		c.step(-1, false)
	case "pgup":
		c.step(1, true)
	case "pgdown":
		c.step(-1, true)
	}
}

// typed opens the field for this setting.
func (c *Control) typed() tea.Cmd {
	return c.Desk.Ask(c.Ask, "", func(text string) (tea.Cmd, error) { return nil, c.parse(text) })
}

func (c *Control) draw(f *widget.Frame, row canvas.Rect, a Axis, chosen bool) {
	c.axis = a
	f.Hit(row, c)
	name, thumb := f.Style(theme.Dim), f.Strong(theme.Ink)
	if chosen {
		name, thumb = f.Chosen(), f.Chosen()
	}
	if chosen {
		f.Set(row.X+1, row.Y, '▸', thumb)
	}
	f.Text(row.X+2, row.Y, c.Name, name)
	f.Text(row.X+2+c.Letter, row.Y, c.Name[c.Letter:c.Letter+1], thumb.With(canvas.Underline))
	at := min(max(int(c.at(a)), 0), a.Width()-1)
	for i := range a.Width() {
		r := c.paint(a, i)
		s := f.Style(theme.Rule)
		if r == '━' {
			s = f.Style(theme.Curve)
		}
		if r == '█' { // what the limiter takes
			s = f.Style(theme.Hot)
		}
		f.Set(a.X+i, row.Y, r, s)
	}
	knob := '◆'
	if c.off() {
		knob = '◇'
	}
	f.Set(a.X+at, row.Y, knob, thumb)
	text := " " + c.words() + " "
	x := a.X + at + 2
	if at+2+canvas.Width(text) > a.Width() {
		x = a.X + at - 1 - canvas.Width(text)
	}
	f.Text(x, row.Y, text, thumb)
	if c.Grip != nil {
		w := min(canvas.Width(text), len(" 24 dB/oct "))
		f.Hit(canvas.Rect{X: x + canvas.Width(text) - w, Y: row.Y, W: w, H: 1}, c.Grip)
	}
}

// SlopeGrip is where a filter's slope stands written: dragging it goes through
// the slopes.
type SlopeGrip struct {
	Knob   *CutKnob
	Chosen func()
	grabX  int
	grabAt int
}

// cellsPerSlope is how far the mouse goes from one slope to the next.
const cellsPerSlope = 4

// Press takes hold of the slope as it is.
func (g *SlopeGrip) Press(x, _ int) tea.Cmd {
	g.Chosen()
	g.grabX, g.grabAt = x, slices.Index(filter.Slopes[:], g.Knob.cut().Slope)
	return nil
}

// Drag goes to a steeper slope to the right, to off at the left end.
func (g *SlopeGrip) Drag(x, _ int) { g.to(g.grabAt + (x-g.grabX)/cellsPerSlope) }

// Wheel steps the slope.
func (g *SlopeGrip) Wheel(up int) {
	g.Chosen()
	g.to(slices.Index(filter.Slopes[:], g.Knob.cut().Slope) + up)
}

func (g *SlopeGrip) to(i int) {
	i = min(max(i, 0), len(filter.Slopes)-1)
	g.Knob.to(filter.Cut{Hz: g.Knob.stand().Hz, Slope: filter.Slopes[i]})
}
