package compare

import (
	"slices"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp/chain"
	"rollready/dsp/compare"
	"rollready/dsp/strips"
	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

// side is one of the two that are compared: all microphones as they are set.
type side struct {
	name   string // preset, "" for what is in use
	kept   strips.Settings
	strips strips.Settings // as they run; turned since, they differ from kept
}

// turned tells whether the side was changed by hand since it was chosen.
func (s side) turned() bool { return s.strips != s.kept }

// Words name the side.
func (s side) Words() string {
	name := s.name
	if name == "" {
		name = "chain in use"
		if s.strips.Unlinked {
			name = "microphones in use"
		}
	}
	if s.turned() {
		name += ", changed"
	}
	return name
}

// handHolder lets the controls turn the side in hand.
type handHolder struct{ c *comparison }

// Chain is that of the chosen microphone on the side.
func (h handHolder) Chain() chain.Settings { return h.c.chain(h.c.hand) }

// SetChain changes it, or while they are linked all: heard at once, kept only as
// a preset.
func (h handHolder) SetChain(set chain.Settings) error {
	to := h.c.sides[h.c.hand].strips
	to.Set(h.c.desk.Settings.Strip, set)
	h.c.set(h.c.hand, to)
	return nil
}

// Fail shows an error.
func (h handHolder) Fail(err error) { h.c.desk.Fail(err) }

// chain is that of the chosen microphone on a side.
func (c *comparison) chain(s compare.Side) chain.Settings {
	return c.sides[s].strips.Chain(c.desk.Settings.Strip)
}

func (c *comparison) set(s compare.Side, set strips.Settings) {
	c.sides[s].strips = set
	if c.bench != nil {
		c.bench.Set(s, set)
	}
}

// comparedMsg is the list of presets.
type comparedMsg struct {
	asked int
	items []desk.PresetItem
	err   error
}

// Read asks the disk for the presets that can be read.
func (c *comparison) read() tea.Cmd {
	c.asked++
	m := comparedMsg{asked: c.asked}
	return func() tea.Msg {
		m.items, m.err = c.desk.ReadPresets()
		return m
	}
}

// arrived takes the presets, and puts those on the sides that were marked on
// the other screen. A side that was turned stays as it is.
func (c *comparison) arrived(m comparedMsg) {
	if m.asked != c.asked {
		return
	}
	c.desk.Fail(m.err)
	c.items = slices.DeleteFunc(m.items, func(i desk.PresetItem) bool { return i.Wrong != nil })
	c.freshen()
	d := c.desk
	if d.Settings.CompareA == "" && d.Settings.CompareB == "" && !c.sides[compare.B].turned() {
		c.mark(compare.B, c.firstOther())
	}
	for s, name := range [2]string{d.Settings.CompareA, d.Settings.CompareB} {
		i := c.find(name)
		if name != "" && i < 0 {
			continue // gone since: the side keeps what it had
		}
		if side := c.sides[s]; side.name != name || i >= 0 && !side.turned() {
			c.put(compare.Side(s), name)
		}
	}
}

// freshen lets a side that stands for the live chain follow it.
func (c *comparison) freshen() {
	for s := range c.sides {
		if side := &c.sides[s]; side.name == "" && !side.turned() {
			c.load(compare.Side(s), "")
		}
	}
}

// firstOther is a preset to begin with beside the chain in use.
func (c *comparison) firstOther() string {
	for _, i := range c.items {
		if i.On(c.desk.Settings.Strips, c.desk.Settings.Strip) != c.desk.Settings.Strips {
			return i.Name
		}
	}
	return ""
}

func (c *comparison) find(name string) int {
	return slices.IndexFunc(c.items, func(i desk.PresetItem) bool { return i.Name == name })
}

// load puts a preset, or what is in use, on a side. A preset of a single chain
// changes the chosen one of several microphones with controls of their own.
func (c *comparison) load(s compare.Side, name string) {
	set := c.desk.Settings.Strips
	if i := c.find(name); i >= 0 {
		set = c.items[i].On(set, c.desk.Settings.Strip)
	}
	c.sides[s] = side{name: name, kept: set}
	c.set(s, set)
}

// turnPreset goes on to another preset; the live chain is one of the ring.
func (c *comparison) turnPreset(s compare.Side, n int) {
	ring := []string{""}
	for _, i := range c.items {
		ring = append(ring, i.Name)
	}
	name := widget.Turn(ring, c.sides[s].name, n)
	c.put(s, name)
	c.mark(s, name)
}

// put puts another preset on a side; what was turned by hand is set aside.
func (c *comparison) put(s compare.Side, name string) {
	before := c.sides[s]
	c.load(s, name)
	if before.turned() {
		c.aside = &aside{s, before}
		c.desk.Say(s.String() + " as it was turned is set aside; u brings it back")
	}
}

// aside is a side that was turned by hand and then left for another preset.
type aside struct {
	s    compare.Side
	side side
}

// bringBack puts it on again.
func (c *comparison) bringBack(a aside) {
	c.aside = nil
	c.sides[a.s] = a.side
	c.set(a.s, a.side.strips)
	c.mark(a.s, a.side.name)
	c.desk.Say(a.s.String() + " is back as it was turned")
}

// mark tells the other screens what is on a side.
func (c *comparison) mark(s compare.Side, name string) {
	c.desk.Change(func(set *presets.Settings) { *[...]*string{&set.CompareA, &set.CompareB}[s] = name })
}
