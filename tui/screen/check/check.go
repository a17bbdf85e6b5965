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
	"rollready/tui/keys"
	"rollready/tui/widget"
)

// Name is the word on the tab.
const Name = "Check"

// check is the screen of the guided check: quiet, voice, verdict.
type check struct {
	desk  *desk.Desk
	found widget.Scroll // the findings
	table keys.Table
}

type (
	judgedMsg        struct{ err error }
	checkRepeatedMsg struct{ err error }
)

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	c := &check{desk: d}
	c.table = keys.Table{
		{Press: "enter", Does: "begin the check, or begin it anew", Now: c.word("", "check again", "begin"), Do: keys.Then(c.begin)},
		{Press: "r", Does: "room tone again, then the voice", Now: c.word("room again", "", ""), Do: c.repeat(preroll.Quiet)},
		{Press: "v", Does: "the voice again; the room tone stays", Now: c.word("voice again", "voice again", ""), Do: c.repeat(preroll.Speak)},
		{Press: "a", Does: "apply what suits", Now: c.applyWord, Do: keys.Cmd(func() tea.Cmd {
			return c.used(d.Rig.ApplyCheck(), "Applied; u brings the chain back as it was")
		})},
		{Press: "u", Does: "undo: the chain as it was before", Now: c.undoWord, Do: keys.Cmd(func() tea.Cmd {
			return c.used(d.Rig.UndoCheck(), "The chain is as it was before")
		})},
		c.found.Keys("more findings"),
		{Press: "x", Does: "break the check off", Now: c.word("break off", "", ""), Do: keys.Cmd(c.Leave)},
	}
	return c
}

// Name is the word on the tab.
func (*check) Name() string { return Name }

// Keys is the table of keys; the last row names those that do something now.
func (c *check) Keys() keys.Table { return c.table }

// word is that of the last row while a check runs, after one, and before.
func (c *check) word(running, after, before string) func() string {
	return func() string {
		switch {
		case c.running():
			return running
		case c.desk.Checked != nil:
			return after
		}
		return before
	}
}

func (c *check) applyWord() string {
	to, ok := c.desk.Recommended()
	if !ok || c.running() || c.desk.Checked == nil || c.desk.Check.Undo != nil || to == c.desk.Settings.Strips {
		return ""
	}
	return "apply"
}

func (c *check) undoWord() string {
	if c.running() || c.desk.Checked == nil || c.desk.Check.Undo == nil {
		return ""
	}
	return "undo"
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

// Update takes results.
func (c *check) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case desk.TickMsg:
		if c.desk.Check.Due {
			return c.judge()
		}
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

func (c *check) begin() {
	c.desk.Fail(c.desk.Rig.BeginCheck())
	c.desk.Refresh()
}

// repeat begins a step anew.
func (c *check) repeat(step guided.Step) func(string) tea.Cmd {
	return keys.Cmd(func() tea.Cmd {
		return func() tea.Msg { return checkRepeatedMsg{c.desk.Rig.RepeatCheck(step)} }
	})
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
