package compare

import (
	tea "charm.land/bubbletea/v2"

	"rollready/dsp/compare"
	"rollready/dsp/strips"
	"rollready/presets"
	"rollready/tui/desk"
)

// keptMsg is the answer of the disk to keeping a side.
type keptMsg struct {
	kept presets.Preset
	side compare.Side
	said string
	undo desk.Undo
	err  error
}

// keepWinner saves the side in hand as a preset and puts it into use. What
// was under that name, and the chain in use before, can be brought back.
func (c *comparison) keepWinner() tea.Cmd {
	s, d := c.hand, c.desk
	return d.Ask("Keep "+s.String()+" as:", c.sides[s].name, func(name string) (tea.Cmd, error) {
		kept := presets.Preset{Name: name, Strips: c.sides[s].strips}
		return d.Over(name, c.find(name) >= 0, func() tea.Cmd { return c.save(kept, s) })
	})
}

func (c *comparison) save(p presets.Preset, side compare.Side) tea.Cmd {
	store := c.desk.Rig.Store().Presets
	m := keptMsg{kept: p, side: side, said: "Kept " + p.Name + ", now in use; u takes it back"}
	m.undo = desk.Undo{What: p.Name + " is taken back", Do: func() error { return store.Delete(p.Name) }}
	if i := c.find(p.Name); i >= 0 {
		old := c.items[i].Preset
		m.kept.Note = old.Note
		m.said = "Kept over " + p.Name + ", now in use; u brings the old one back"
		m.undo = desk.Undo{What: "the old " + p.Name + " is back", Do: func() error { return store.Save(old) }}
	}
	return func() tea.Msg {
		m.err = store.Save(m.kept)
		return m
	}
}

// kept takes the answer.
func (c *comparison) kept(m keptMsg) tea.Cmd {
	if m.err != nil {
		c.desk.Fail(m.err)
		return nil
	}
	d := c.desk
	before := presets.Preset{Name: d.Settings.Preset, Strips: d.Taken}
	c.aside = nil
	c.undo, c.before = m.undo, inUse{before, d.Settings.Strips}
	c.sides[m.side].name, c.sides[m.side].kept = m.kept.Name, m.kept.Strips
	c.mark(m.side, m.kept.Name)
	d.UsePreset(m.kept, m.said)
	return c.read()
}

// inUse is what was in use before a winner was kept.
type inUse struct {
	preset presets.Preset
	strips strips.Settings
}

// takeBack brings back a side set aside, or undoes the last keep: on disk and
// in the chain.
func (c *comparison) takeBack() tea.Cmd {
	if c.aside != nil {
		c.bringBack(*c.aside)
		return nil
	}
	u, d := c.undo, c.desk
	if u.Do == nil {
		d.Say("Nothing to undo")
		return nil
	}
	c.undo = desk.Undo{}
	d.UsePreset(c.before.preset, "")
	d.Fail(d.SetStrips(c.before.strips))
	return func() tea.Msg { return tookBackMsg{u.What, u.Do()} }
}

// tookBackMsg says how the undo went.
type tookBackMsg struct {
	what string
	err  error
}

func (c *comparison) tookBack(m tookBackMsg) tea.Cmd {
	c.desk.Fail(m.err)
	if m.err == nil {
		c.desk.Say(m.what + ", and the chain as before")
	}
	return c.read()
}
