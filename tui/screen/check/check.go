// Package check is the screen of the guided check: quiet, voice, verdict.
//
// The rig listens meanwhile; the screen says what to do, shows what was found
// and applies what suits. It must not go on unseen: leaving it breaks it off.
package check

import (
	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig/guided"
	"rollready/dsp/preroll"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

const Name = "Check"

// check is the screen of the guided check: quiet, voice, verdict.
type check struct {
	desk  *desk.Desk
	found widget.Scroll // the findings
}

type (
	judgedMsg        struct{ err error }
	checkRepeatedMsg struct{ err error }
)

// New makes the screen.
func New(d *desk.Desk) desk.Screen { return &check{desk: d} }

func (*check) Name() string { return Name }

// Keys lists all keys; the last row names those that do something now.
func (c *check) Keys() []desk.Key {
	keys := []desk.Key{
		{Press: "enter", Does: "begin the check, or begin it anew", Short: "begin"},
		{Press: "r", Does: "room tone again, then the voice"},
		{Press: "v", Does: "the voice again; the room tone stays"},
		{Press: "a", Does: "apply what suits"},
		{Press: "u", Does: "undo: the chain as it was before"},
		{Press: "↑ ↓", Does: "more findings; PgUp PgDn Home End and the wheel too"},
		{Press: "x", Does: "break the check off"},
	}
	switch {
	case c.running():
		keys[0].Short, keys[1].Short, keys[2].Short, keys[6].Short = "", "room again", "voice again", "break off"
	case c.desk.Checked != nil:
		keys[0].Short, keys[2].Short = "check again", "voice again"
		if c.desk.Check.Undo != nil {
			keys[4].Short = "undo"
		} else if to, ok := c.desk.Recommended(); ok && to != c.desk.Settings.Chain {
			keys[3].Short = "apply"
		}
	}
	return keys
}

// Open judges anew what was heard, where the settings changed since.
func (c *check) Open() tea.Cmd {
	if c.desk.Check.Stale {
		return c.judge()
	}
	return nil
}

// Leave breaks off a check that is not done: nobody sees what it asks for.
func (c *check) Leave() tea.Cmd {
	if c.desk.Rig.LeaveCheck() {
		c.desk.Say("The check was left before its end")
	}
	c.desk.Refresh()
	return nil
}

// running tells that the guide still leads or judges.
func (c *check) running() bool { return c.desk.Check.Running }

// Update answers keys and takes results.
func (c *check) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case desk.TickMsg:
		if c.desk.Check.Due {
			return c.judge()
		}
	case tea.KeyPressMsg:
		return c.key(m.String())
	case checkRepeatedMsg:
		c.desk.Fail(m.err)
	case judgedMsg:
		c.desk.Fail(m.err)
	}
	return nil
}

// judge works out the result off the program's goroutine.
func (c *check) judge() tea.Cmd {
	if c.running() {
		c.found.Top = 0
	}
	wait := c.desk.Rig.Judge()
	c.desk.Refresh()
	if wait == nil {
		return nil
	}
	return func() tea.Msg { return judgedMsg{wait()} }
}

func (c *check) key(k string) tea.Cmd {
	switch k {
	case "enter":
		c.desk.Fail(c.desk.Rig.BeginCheck())
		c.desk.Refresh()
	case "r":
		return c.repeat(preroll.Quiet)
	case "v":
		return c.repeat(preroll.Speak)
	case "x":
		return c.Leave()
	case "a":
		return c.used(c.desk.Rig.ApplyCheck(), "Applied; u brings the chain back as it was")
	case "u":
		return c.used(c.desk.Rig.UndoCheck(), "The chain is as it was before")
	default:
		c.found.Key(k)
	}
	return nil
}

// repeat begins a step anew.
func (c *check) repeat(step guided.Step) tea.Cmd {
	return func() tea.Msg { return checkRepeatedMsg{c.desk.Rig.RepeatCheck(step)} }
}

// used tells that another chain is in use, and judges what was heard through it.
func (c *check) used(err error, said string) tea.Cmd {
	c.desk.Refresh()
	if err != nil {
		c.desk.Fail(err)
		return nil
	}
	c.desk.Say(said)
	return c.judge()
}
