package tui

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// knob is what a control sets: where it stands on its track and how it moves.
type knob interface {
	at(a axis) float64           // place in cells from the left end
	words() string               // setting with unit
	off() bool                   // a filter that does nothing
	set(a axis, at float64)      // to a place on the track
	step(n int, coarse bool)     // by key or wheel
	parse(text string) error     // as typed
	paint(a axis, cell int) rune // track at a cell
}

// control is one row: key, name, track, setting.
type control struct {
	knob
	name, ask string
	letter    int // place in name of the letter that is its key
	desk      *Desk
	chosen    func() // makes it the one the keys act on
	axis      axis
	grabX     int
	grabAt    float64
	moved     bool
	grip      *slopeGrip // nil: no slope
}

// Press takes hold of the setting where it is.
func (c *control) Press(x, _ int) tea.Cmd {
	c.chosen()
	c.grabX, c.grabAt, c.moved = x, c.at(c.axis), false
	return nil
}

// Drag moves the setting with the mouse, to the end of the track at most.
func (c *control) Drag(x, _ int) {
	if c.moved = c.moved || x != c.grabX; c.moved {
		c.set(c.axis, min(max(c.grabAt+float64(x-c.grabX), 0), float64(c.axis.width())))
	}
}

// Wheel steps the setting.
func (c *control) Wheel(up int) { c.chosen(); c.step(up, false) }

// key steps the setting; false if the key means nothing to a control.
func (c *control) key(k string) bool {
	switch k {
	case "up", "+":
		c.step(1, false)
	case "down", "-":
		c.step(-1, false)
	case "pgup":
		c.step(1, true)
	case "pgdown":
		c.step(-1, true)
	default:
		return false
	}
	return true
}

// typed opens the field for this setting.
func (c *control) typed() tea.Cmd {
	return c.desk.Ask(c.ask, "", func(text string) (tea.Cmd, error) { return nil, c.parse(text) })
}

func (c *control) draw(f *Frame, row canvas.Rect, a axis, chosen bool) {
	c.axis = a
	f.Hit(row, c)
	name, thumb := f.Style(theme.Dim), f.Strong(theme.Ink)
	if chosen {
		name, thumb = f.Chosen(), f.Chosen()
	}
	if chosen {
		f.Set(row.X+1, row.Y, '▸', thumb)
	}
	f.Text(row.X+2, row.Y, c.name, name)
	f.Text(row.X+2+c.letter, row.Y, c.name[c.letter:c.letter+1], thumb.With(canvas.Underline))
	at := min(max(int(c.at(a)), 0), a.width()-1)
	for i := range a.width() {
		r := c.paint(a, i)
		s := f.Style(theme.Rule)
		if r == '━' {
			s = f.Style(theme.Curve)
		}
		if r == '█' { // what the limiter takes
			s = f.Style(theme.Hot)
		}
		f.Set(a.x+i, row.Y, r, s)
	}
	knob := '◆'
	if c.off() {
		knob = '◇'
	}
	f.Set(a.x+at, row.Y, knob, thumb)
	text := " " + c.words() + " "
	x := a.x + at + 2
	if at+2+canvas.Width(text) > a.width() {
		x = a.x + at - 1 - canvas.Width(text)
	}
	f.Text(x, row.Y, text, thumb)
	if c.grip != nil {
		w := min(canvas.Width(text), len(" 24 dB/oct "))
		f.Hit(canvas.Rect{X: x + canvas.Width(text) - w, Y: row.Y, W: w, H: 1}, c.grip)
	}
}

// slopeGrip is where a filter's slope stands written: dragging it goes through
// the slopes.
type slopeGrip struct {
	knob   *cutKnob
	chosen func()
	grabX  int
	grabAt int
}

// cellsPerSlope is how far the mouse goes from one slope to the next.
const cellsPerSlope = 4

// Press takes hold of the slope as it is.
func (g *slopeGrip) Press(x, _ int) tea.Cmd {
	g.chosen()
	g.grabX, g.grabAt = x, slices.Index(filter.Slopes[:], g.knob.cut().Slope)
	return nil
}

// Drag goes to a steeper slope to the right, to off at the left end.
func (g *slopeGrip) Drag(x, _ int) { g.to(g.grabAt + (x-g.grabX)/cellsPerSlope) }

// Wheel steps the slope.
func (g *slopeGrip) Wheel(up int) {
	g.chosen()
	g.to(slices.Index(filter.Slopes[:], g.knob.cut().Slope) + up)
}

func (g *slopeGrip) to(i int) {
	i = min(max(i, 0), len(filter.Slopes)-1)
	g.knob.to(filter.Cut{Hz: g.knob.stand().Hz, Slope: filter.Slopes[i]})
}

// chainHolder is what a knob turns at: the live chain, or a side of the
// comparison.
type chainHolder interface {
	Chain() chain.Settings
	SetChain(chain.Settings) // must pass Check
	Fail(error)
}

// gainKnob is the chain's gain.
type gainKnob struct{ of chainHolder }

const gainSpan = chain.MaxGainDB - chain.MinGainDB

func (k gainKnob) gain() float64 { return k.of.Chain().GainDB }

func (k gainKnob) to(v float64) {
	s := k.of.Chain()
	s.GainDB = min(max(math.Round(v*10)/10, chain.MinGainDB), chain.MaxGainDB)
	k.of.SetChain(s)
}

func (k gainKnob) off() bool     { return false }
func (k gainKnob) words() string { return signed(k.gain()) + " dB" }

func (k gainKnob) at(a axis) float64 {
	return (k.gain() - chain.MinGainDB) / gainSpan * float64(a.width()-1)
}

func (k gainKnob) set(a axis, at float64) {
	k.to(math.Round(2*(at/float64(a.width()-1)*gainSpan+chain.MinGainDB)) / 2)
}

func (k gainKnob) step(n int, coarse bool) {
	size := 0.5
	if coarse {
		size = 3
	}
	k.to(k.gain() + float64(n)*size)
}

func (k gainKnob) parse(text string) error {
	v, ok := parseNumber(text)
	s := k.of.Chain()
	s.GainDB = v
	if !ok {
		return errors.New("not a number: type it like −6 or +3.5")
	}
	if err := s.Check(); err != nil {
		return err
	}
	k.of.SetChain(s)
	return nil
}

// paint: a thick line between 0 dB and the setting.
func (k gainKnob) paint(a axis, cell int) rune {
	zero := int(-chain.MinGainDB / gainSpan * float64(a.width()-1))
	at := int(k.at(a))
	switch {
	case cell == zero:
		return '┼'
	case cell > min(at, zero) && cell < max(at, zero):
		return '━'
	}
	return '─'
}

// cutKnob is the high-pass or the low-pass.
type cutKnob struct {
	of      chainHolder
	lowPass bool
	last    filter.Cut // as it was before it was switched off
}

func (k *cutKnob) cut() filter.Cut {
	if k.lowPass {
		return k.of.Chain().LowPass
	}
	return k.of.Chain().HighPass
}

func (k *cutKnob) to(c filter.Cut) {
	if old := k.cut(); old.On() {
		k.last = old
	}
	if !c.On() {
		c = filter.Cut{}
	}
	s := k.of.Chain()
	if k.lowPass {
		s.LowPass = c
	} else {
		s.HighPass = c
	}
	if err := s.Check(); err != nil {
		k.of.Fail(err)
		return
	}
	k.of.SetChain(s)
}

// stand is the cutoff, also of a filter that is off.
func (k *cutKnob) stand() filter.Cut {
	if c := k.cut(); c.On() {
		return c
	}
	return k.last
}

func (k *cutKnob) off() bool         { return !k.cut().On() }
func (k *cutKnob) words() string     { return cutWords(k.cut()) }
func (k *cutKnob) at(a axis) float64 { return a.at(k.stand().Hz) }

func (k *cutKnob) hertz(hz float64) {
	c := k.stand()
	c.Hz = min(max(round2(hz), filter.MinHz), filter.MaxHz)
	k.to(c)
}

func (k *cutKnob) set(a axis, at float64) { k.hertz(a.hz(at)) }

// step moves by a sixth of an octave, coarse by one.
func (k *cutKnob) step(n int, coarse bool) {
	octaves := float64(n) / 6
	if coarse {
		octaves = float64(n)
	}
	k.hertz(k.stand().Hz * math.Exp2(octaves))
}

// slope goes on to the next slope: off, 6, 12, 18, 24.
func (k *cutKnob) slope() {
	k.to(filter.Cut{Hz: k.stand().Hz, Slope: turn(filter.Slopes[:], k.cut().Slope, 1)})
}

func (k *cutKnob) parse(text string) error {
	hzText, slope, both := strings.Cut(text, "/")
	hz, ok := parseNumber(hzText)
	switch {
	case ok && both:
		text = figurePlain(hz) + "/" + slope
	case ok:
		text = figurePlain(hz) + "/" + strconv.Itoa(k.stand().Slope)
	}
	c, err := filter.ParseCut(text)
	if err != nil {
		return err
	}
	k.to(c)
	return nil
}

// paint: a thick line over what passes.
func (k *cutKnob) paint(a axis, cell int) rune {
	at := int(k.at(a))
	if k.off() {
		return '─'
	}
	if k.lowPass == (cell < at) {
		return '━'
	}
	return '┈'
}

// round2 keeps two significant digits: cutoffs a person would say.
func round2(hz float64) float64 {
	unit := math.Pow(10, math.Floor(math.Log10(hz))-1)
	return math.Round(hz/unit) * unit
}
