package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"rollready/capture/rig/guided"
	"rollready/dsp/chain"
	"rollready/dsp/preroll"
)

const checkName = "Check"

// check is the screen of the guided check: quiet, voice, verdict. The program
// listens meanwhile in a goroutine of the checker's own.
type check struct {
	desk    *Desk
	run     Checker // nil: none runs
	asked   int     // number of the newest question to it
	judging bool
	fresh   bool // the run's result is still to come, or to come anew
	before  *chain.Settings
	found   scroll // the findings
}

type (
	checkedMsg struct {
		asked   int
		setup   guided.Setup
		outcome guided.Outcome
		err     error
	}
	checkRepeatedMsg struct{}
)

func newCheck(d *Desk) Screen { return &check{desk: d} }

func (*check) Name() string { return checkName }

// Keys lists all keys; the last row names those that do something now.
func (c *check) Keys() []Key {
	keys := []Key{
		{"enter", "begin the check, or begin it anew", "begin"},
		{"r", "room tone again, then the voice", ""},
		{"v", "the voice again; the room tone stays", ""},
		{"a", "apply what suits", ""},
		{"u", "undo: the chain as it was before", ""},
		{"↑ ↓", "more findings; PgUp PgDn Home End and the wheel too", ""},
		{"x", "break the check off", ""},
	}
	switch {
	case c.running():
		keys[0].Short, keys[1].Short, keys[2].Short, keys[6].Short = "", "room again", "voice again", "break off"
	case c.desk.checked != nil:
		keys[0].Short, keys[2].Short = "check again", "voice again"
		if c.before != nil {
			keys[4].Short = "undo"
		} else if to, ok := c.recommended(); ok && to != c.desk.Settings.Chain {
			keys[3].Short = "apply"
		}
	}
	return keys
}

// Open judges anew what was heard, where the settings changed since.
func (c *check) Open() tea.Cmd {
	if k := c.desk.checked; k != nil && c.run != nil && (k.chain != c.desk.Settings.Chain || k.camera != c.desk.Camera.Scale) {
		return c.judge()
	}
	return nil
}

// Leave breaks off a check that is not done: nobody sees what it asks for.
func (c *check) Leave() tea.Cmd {
	if c.running() {
		c.stop()
		c.desk.Say("The check was left before its end")
	}
	return nil
}

// running tells that the guide still leads or judges.
func (c *check) running() bool { return c.run != nil && c.fresh }

func (c *check) stop() {
	if c.run != nil {
		c.run.End()
	}
	c.run, c.fresh, c.judging = nil, false, false
	c.asked++
}

// Update answers keys and takes results.
func (c *check) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case tickMsg:
		return c.tick()
	case tea.KeyMsg:
		return c.key(m.String())
	case checkRepeatedMsg:
		c.fresh = c.run != nil
	case checkedMsg:
		if m.asked == c.asked {
			c.arrived(m)
		}
	}
	return nil
}

// tick asks for the result once all is heard.
func (c *check) tick() tea.Cmd {
	switch {
	case c.run == nil || c.judging:
	case c.fresh && c.run.Progress().Step == preroll.Done:
		return c.judge()
	case !c.fresh && c.desk.checked == nil: // another input
		c.stop()
	}
	return nil
}

func (c *check) judge() tea.Cmd {
	c.asked++
	c.judging = true
	m, run := checkedMsg{asked: c.asked, setup: guided.Setup{Chain: c.desk.Settings.Chain, Camera: c.desk.Camera.Scale}}, c.run
	return func() tea.Msg {
		m.outcome, m.err = run.Result(m.setup)
		return m
	}
}

func (c *check) arrived(m checkedMsg) {
	c.judging = false
	if m.err != nil {
		c.desk.Fail(m.err)
		c.stop()
		return
	}
	at := c.desk.opt.Now()
	if !c.fresh && c.desk.checked != nil { // judged anew, not heard anew
		at = c.desk.checked.at
	}
	if c.fresh {
		c.found.top, c.before = 0, nil
	}
	c.fresh = false
	c.desk.checked = &checked{m.outcome, at, m.setup.Chain, m.setup.Camera, c.desk.inputKey()}
}

func (c *check) key(k string) tea.Cmd {
	switch k {
	case "enter":
		return c.begin()
	case "r":
		return c.repeat(preroll.Quiet)
	case "v":
		return c.repeat(preroll.Speak)
	case "x":
		c.Leave()
	case "a":
		return c.apply()
	case "u":
		return c.undo()
	default:
		c.found.key(k)
	}
	return nil
}

func (c *check) begin() tea.Cmd {
	if c.running() { // enter must not throw away what is half heard
		return nil
	}
	if c.desk.opt.Check == nil || c.desk.dead() {
		c.desk.Say("Nothing comes in: choose the input in Setup")
		return nil
	}
	c.stop()
	c.run, c.fresh = c.desk.opt.Check(), true
	return nil
}

// repeat begins a step anew.
func (c *check) repeat(step guided.Step) tea.Cmd {
	switch {
	case c.run == nil:
		return c.begin()
	case c.judging, step == preroll.Speak && c.run.Progress().Step == preroll.Quiet:
		return nil
	}
	run := c.run
	return func() tea.Msg { run.Repeat(step); return checkRepeatedMsg{} }
}

// recommended is the chain with what the check recommends.
func (c *check) recommended() (s chain.Settings, ok bool) {
	s, k := c.desk.Settings.Chain, c.desk.checked
	if k == nil || !k.Recommend.OutputGainDB.Known() {
		return s, false
	}
	s.GainDB, s.HighPass = float64(k.Recommend.OutputGainDB), k.Recommend.HighPass
	return s, true
}

func (c *check) apply() tea.Cmd {
	s, ok := c.recommended()
	switch {
	case c.running() || c.judging:
		return nil
	case !ok:
		c.desk.Say("Nothing to apply: without a voice there is no recommendation")
		return nil
	case s == c.desk.Settings.Chain:
		c.desk.Say("The chain is set as recommended already")
		return nil
	}
	was := c.desk.Settings.Chain
	c.before = &was
	return c.use(s, "Applied; u brings the chain back as it was")
}

func (c *check) undo() tea.Cmd {
	if c.before == nil || c.running() || c.judging {
		c.desk.Say("Nothing to undo")
		return nil
	}
	s := *c.before
	c.before = nil
	return c.use(s, "The chain is as it was before")
}

// use takes a chain, and judges what was heard through it.
func (c *check) use(s chain.Settings, said string) tea.Cmd {
	c.desk.SetChain(s)
	c.desk.Say(said)
	if c.run == nil {
		return nil
	}
	return c.judge()
}
