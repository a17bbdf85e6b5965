// Package compare is the screen on which two settings are compared, by meter and by ear.
//
// Both sides get the same input at once, or a phrase of it in a loop. The side
// that is heard is in hand: the controls turn it. In a blind trial nothing on
// the screen may tell X from the other.
package compare

import (
	"math/rand/v2"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/capture/rig/ab"
	"rollready/capture/rig/output"
	"rollready/dsp/compare"
	"rollready/dsp/filter"
	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/view"
	"rollready/tui/widget"
)

const Name = "Compare"

// comparison is the screen on which two settings are compared, by meter and
// by ear. The comparison runs while the screen is shown.
type comparison struct {
	desk     *desk.Desk
	bench    rig.Bench // nil: not running
	state    ab.State
	slow     ab.State // for figures
	sides    [2]side
	hand     compare.Side // the side the controls turn
	heard    output.Source
	items    []desk.PresetItem // to choose from
	plot     diffPlot
	controls [3]*view.Control
	cuts     [2]*view.CutKnob
	chosen   int
	blind    blind
	undo     desk.Undo
	before   inUse
	aside    *aside // nil: none
	random   *rand.Rand
	asked    int // number of the newest question to the disk
}

// phraseMsg is the answer to a capture.
type phraseMsg struct{ err error }

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	c := &comparison{desk: d, heard: output.SideA, plot: diffPlot{BandPlot: view.BandPlot{Desk: d, Cursor: view.OneKilohertz}},
		random: rand.New(rand.NewPCG(rand.Uint64(), rand.Uint64()))}
	h := handHolder{c}
	c.cuts = [2]*view.CutKnob{
		{Of: h, Last: filter.Cut{Hz: 80, Slope: 12}},
		{Of: h, LowPass: true, Last: filter.Cut{Hz: 12000, Slope: 12}},
	}
	c.controls = [3]*view.Control{
		{Knob: view.GainKnob{Of: h}, Name: "Gain", Ask: "Gain in dB, −60 to +40:"},
		{Knob: c.cuts[0], Name: "High-pass", Ask: "High-pass in Hz, or Hz/slope like 80/24, or off:"},
		{Knob: c.cuts[1], Name: "Low-pass", Ask: "Low-pass in Hz, or Hz/slope like 12k/12, or off:"},
	}
	for i, k := range c.controls {
		k.Desk, k.Chosen = d, func() { c.chosen = i }
		if i > 0 {
			k.Grip = &view.SlopeGrip{Knob: c.cuts[i-1], Chosen: k.Chosen}
		}
	}
	return c
}

func (*comparison) Name() string { return Name }

func (c *comparison) Keys() []desk.Key {
	if c.blind.On() {
		return trialKeys()
	}
	return []desk.Key{
		{Press: "a b", Does: "hear A, hear B; the controls turn the one heard", Short: "hear"},
		{Press: "i o", Does: "hear the input, the output"},
		{Press: "[ ]", Does: "another preset for the side heard", Short: "preset"},
		{Press: "e", Does: "equal loudness for the ear, on or off", Short: "equal"},
		{Press: "c", Does: "capture the last 10 s as a phrase and loop it", Short: "capture"},
		{Press: "p", Does: "phrase or live input"},
		{Press: "x", Does: "blind trial: X is A or B", Short: "blind"},
		{Press: "k", Does: "keep the side heard as a preset and use it", Short: "keep"},
		{Press: "u", Does: "undo the last keep, or bring back a side as it was turned"},
		{Press: "g h l", Does: "choose gain, high-pass, low-pass"},
		{Press: "↑ ↓", Does: "step what is chosen; PgUp PgDn in large steps"},
		{Press: "enter", Does: "type its value"},
		{Press: "s", Does: "slope of the filter: off, 6, 12, 18, 24 dB per octave"},
		{Press: "← →", Does: "band cursor; Home End to the ends"},
		{Press: "mouse", Does: "press a side, a word or a band, drag a track"},
	}
}

// Open begins the comparison and reads the presets.
func (c *comparison) Open() tea.Cmd {
	if c.bench == nil {
		c.freshen()
		c.bench = c.desk.Rig.Compare(c.sides[compare.A].chain, c.sides[compare.B].chain)
		c.bench.SetMatch(c.desk.Settings.EqualLoudness)
		c.hear(c.heard)
	}
	return c.read()
}

// Leave ends it. What was heard of a side becomes the output; the phrase and
// the sides are there when the screen is opened again.
func (c *comparison) Leave() tea.Cmd {
	if c.bench != nil {
		c.bench.Close()
		c.bench = nil
	}
	if c.blind.On() {
		c.blind = blind{said: score(c.blind.trial)}
	}
	if c.heard > output.Output {
		c.desk.Rig.Hear(output.Output)
	}
	return nil
}

// Update answers keys and what was asked for.
func (c *comparison) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case comparedMsg:
		c.arrived(m)
	case keptMsg:
		return c.kept(m)
	case tookBackMsg:
		return c.tookBack(m)
	case phraseMsg:
		c.desk.Fail(m.err)
		if m.err == nil {
			c.desk.Say("Phrase captured; the input goes on being metered above")
		}
	case tea.KeyPressMsg:
		k := m.String()
		if c.blind.On() {
			return c.trialKey(k)
		}
		return c.key(k)
	}
	return nil
}

func (c *comparison) key(k string) tea.Cmd {
	if !strings.Contains("abio", k) { // the score stays while one listens
		c.blind.said = ""
	}
	switch k {
	case "a":
		c.hear(output.SideA)
	case "b":
		c.hear(output.SideB)
	case "i":
		c.hear(output.Input)
	case "o":
		c.hear(output.Output)
	case "[":
		c.turnPreset(c.hand, -1)
	case "]":
		c.turnPreset(c.hand, 1)
	case "e":
		c.toggleEqual()
	case "c":
		return c.capture()
	case "p":
		c.togglePhrase()
	case "x":
		return c.askTrial()
	case "k":
		return c.keepWinner()
	case "u":
		return c.takeBack()
	default:
		return c.control(k)
	}
	return nil
}

// control answers the keys of the controls and the band cursor.
func (c *comparison) control(k string) tea.Cmd {
	now := c.controls[c.chosen]
	switch k {
	case "g":
		c.chosen = 0
	case "h":
		c.chosen = 1
	case "l":
		c.chosen = 2
	case "enter":
		return now.Typed()
	case "s":
		if c.chosen == 0 {
			c.desk.Say("Slope belongs to a filter: choose high-pass (h) or low-pass (l) first")
			break
		}
		c.cuts[c.chosen-1].Slope()
	case "left", "right", "home", "end":
		c.plot.Key(k)
	default:
		now.Key(k)
	}
	return nil
}

// hear goes over to a source; a side that is heard is also in hand.
func (c *comparison) hear(s output.Source) {
	c.heard = s
	switch s {
	case output.SideA:
		c.hand = compare.A
	case output.SideB:
		c.hand = compare.B
	}
	c.desk.Rig.Hear(s)
}

func (c *comparison) toggleEqual() {
	on := !c.desk.Settings.EqualLoudness
	c.desk.Change(func(s *presets.Settings) { s.EqualLoudness = on })
	c.bench.SetMatch(on)
	if on {
		c.desk.Say("Equal loudness: the louder side is lowered for the ear, not for the meters")
		return
	}
	c.desk.Say("Loudness as set: mind that the louder one tends to please")
}

func (c *comparison) capture() tea.Cmd {
	bench := c.bench
	return func() tea.Msg { return phraseMsg{bench.Capture()} }
}

func (c *comparison) togglePhrase() {
	if c.state.Phrase == 0 {
		c.desk.Say("No phrase yet: c captures the last 10 s")
		return
	}
	c.bench.PlayPhrase(!c.state.Playing)
}

// look takes the newest state.
func (c *comparison) look() {
	c.state = c.bench.State()
	if c.desk.Frames%(widget.FramesPerSecond/4) == 0 || c.slow.Readings[0].Channels != c.state.Readings[0].Channels {
		c.slow = c.state
	}
}
