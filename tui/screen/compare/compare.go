// Package compare is the screen on which two settings are compared, by meter and by ear.
//
// Both sides get the same input at once, or a phrase of it in a loop. The side
// that is heard is in hand: the controls turn it. In a blind trial nothing on
// the screen may tell X from the other.
package compare

import (
	"math/rand/v2"
	"slices"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/capture/rig/ab"
	"rollready/capture/rig/output"
	"rollready/dsp/compare"
	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/keys"
	"rollready/tui/view"
)

// Name is the word on the tab.
const Name = "Compare"

// comparison is the screen on which two settings are compared, by meter and
// by ear. The comparison runs while the screen is shown.
type comparison struct {
	desk   *desk.Desk
	bench  rig.Bench // nil: not running
	state  ab.State
	slow   ab.State // for figures
	sides  [2]side
	hand   compare.Side // the side the controls turn
	heard  output.Source
	items  []desk.PresetItem // to choose from
	plot   diffPlot
	board  *view.Board
	table  keys.Table
	trial  keys.Table // while a blind trial runs
	blind  blind
	undo   desk.Undo
	before inUse
	aside  *aside // nil: none
	random *rand.Rand
	asked  int // number of the newest question to the disk
}

// phraseMsg is the answer to a capture.
type phraseMsg struct{ err error }

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	c := &comparison{desk: d, heard: output.SideA, plot: diffPlot{BandPlot: view.BandPlot{Desk: d, Cursor: view.OneKilohertz}},
		random: rand.New(rand.NewPCG(rand.Uint64(), rand.Uint64()))}
	c.board = view.NewBoard(d, handHolder{c})
	c.table, c.trial = c.keys(), c.trialKeys()
	return c
}

// Name is the word on the tab.
func (*comparison) Name() string { return Name }

// Keys is the table of keys, of a blind trial its own.
func (c *comparison) Keys() keys.Table {
	if c.blind.On() {
		return c.trial
	}
	return c.table
}

func (c *comparison) keys() keys.Table {
	hear := keys.Table{
		{Press: "a b", Does: "hear A, hear B; the controls turn the one heard", Word: "hear", Do: keys.Do(c.hearKey)},
		{Press: "i o", Does: "hear the input, the output", Do: keys.Do(c.hearKey)},
	}
	rest := slices.Concat(keys.Table{
		{Press: "[ ]", Does: "another preset for the side heard", Word: "preset", Do: keys.Do(c.presetKey)},
		{Press: "e", Does: "equal loudness for the ear, on or off", Word: "equal", Do: keys.Then(c.toggleEqual)},
		{Press: "c", Does: "capture the last 10 s as a phrase and loop it", Word: "capture", Do: keys.Cmd(c.capture)},
		{Press: "p", Does: "phrase or live input", Do: keys.Then(c.togglePhrase)},
		{Press: "x", Does: "blind trial: X is A or B", Word: "blind", Do: keys.Cmd(c.askTrial)},
		{Press: "n", Does: "next microphone: controls and bands are its", Do: keys.Then(c.desk.NextStrip)},
		{Press: "k", Does: "keep the side heard as a preset and use it", Word: "keep", Do: keys.Cmd(c.keepWinner)},
		{Press: "u", Does: "undo the last keep, or bring back a side as it was turned", Do: keys.Cmd(c.takeBack)},
	}, c.board.Keys(), keys.Table{c.plot.Keys()})
	for i, b := range rest { // the score of a trial stays while one only listens
		rest[i].Do = func(key string) tea.Cmd { c.blind.said = ""; return b.Do(key) }
		if i >= 8 { // the controls are named on the Monitor
			rest[i].Word = ""
		}
	}
	return append(append(hear, rest...), keys.Binding{Shown: "mouse", Does: "press a side, a word or a band, drag a track"})
}

func (c *comparison) hearKey(key string) {
	c.hear(map[string]output.Source{"a": output.SideA, "b": output.SideB, "i": output.Input, "o": output.Output}[key])
}

func (c *comparison) presetKey(key string) {
	c.turnPreset(c.hand, map[string]int{"[": -1, "]": 1}[key])
}

// Open begins the comparison and reads the presets.
func (c *comparison) Open() tea.Cmd {
	if c.bench == nil {
		c.freshen()
		c.bench = c.desk.Rig.Compare(c.sides[compare.A].strips, c.sides[compare.B].strips)
		c.bench.SetMatch(c.desk.Settings.EqualLoudness)
		c.hear(c.heard)
		if c.parted() {
			c.desk.Say("A and B are all microphones as set; the controls turn " + c.desk.Called() + ", n the next")
		}
	}
	return c.read()
}

// parted tells that several microphones have controls of their own on a side.
func (c *comparison) parted() bool {
	return c.desk.Status.Picked.Count > 1 && (c.sides[compare.A].strips.Unlinked || c.sides[compare.B].strips.Unlinked)
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

// Update takes what was asked for.
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
	if !c.desk.Steady || c.slow.Readings[0].Channels != c.state.Readings[0].Channels {
		c.slow = c.state
	}
}
