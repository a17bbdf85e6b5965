package view

import (
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp/filter"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/keys"
	"rollready/tui/widget"
)

// Board is the rows of controls, of which one is chosen.
type Board struct {
	desk     *desk.Desk
	controls []*Control
	chosen   int
}

// NewBoard makes the controls of a chain: gain and filters, and more.
func NewBoard(d *desk.Desk, of chainHolder, more ...*Control) *Board {
	highPass := &CutKnob{Of: of, Last: filter.Cut{Hz: 80, Slope: 12}}
	lowPass := &CutKnob{Of: of, LowPass: true, Last: filter.Cut{Hz: 12000, Slope: 12}}
	b := &Board{desk: d, controls: append([]*Control{
		{Knob: GainKnob{Of: of}, Name: "Gain", Ask: "Gain in dB, −60 to +40:"},
		{Knob: highPass, Name: "High-pass", Ask: "High-pass in Hz, or Hz/slope like 80/24, or off:", Grip: &SlopeGrip{Knob: highPass}},
		{Knob: lowPass, Name: "Low-pass", Ask: "Low-pass in Hz, or Hz/slope like 12k/12, or off:", Grip: &SlopeGrip{Knob: lowPass}},
	}, more...)}
	for i, c := range b.controls {
		c.Desk, c.Chosen = d, func() { b.chosen = i }
		if c.Grip != nil {
			c.Grip.Chosen = c.Chosen
		}
	}
	return b
}

// Keys choose a control by its letter and set it.
func (b *Board) Keys() keys.Table {
	var letters, names []string
	for _, c := range b.controls {
		letters, names = append(letters, c.letter()), append(names, strings.ToLower(c.Name))
	}
	slope := "slope of the filter: off, 6, 12, 18, 24 dB per octave"
	if len(b.controls) > 3 {
		slope += "; limiter on, off"
	}
	return keys.Table{
		{Press: strings.Join(letters, " "), Does: "choose " + strings.Join(names, ", "), Word: "choose", Do: keys.Do(b.choose)},
		{Press: "up down pgup pgdown", Shown: "↑ ↓", Does: "step what is chosen; PgUp PgDn in large steps", Word: "step",
			Do: keys.Do(func(k string) { b.now().key(k) })},
		{Press: "enter", Does: "type its value", Word: "type", Do: keys.Cmd(func() tea.Cmd { return b.now().typed() })},
		{Press: "s", Does: slope, Word: "slope", Do: keys.Then(b.slope)},
	}
}

func (b *Board) now() *Control { return b.controls[b.chosen] }

func (b *Board) choose(key string) {
	for i, c := range b.controls {
		if c.letter() == key {
			b.chosen = i
		}
	}
}

// slope goes on with what is chosen: a filter's slope, the limiter's switch.
func (b *Board) slope() {
	switch k := b.now().Knob.(type) {
	case *CutKnob:
		k.slope()
	case *LimitKnob:
		k.toggle()
	default:
		b.desk.Say("Slope belongs to a filter: choose high-pass (h) or low-pass (l) first")
	}
}

// Draw draws the controls, a row each.
func (b *Board) Draw(f *widget.Frame, area canvas.Rect, a Axis) {
	for i, c := range b.controls {
		c.draw(f, area.Row(i), a, i == b.chosen)
	}
}
