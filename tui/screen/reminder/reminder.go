// Package reminder is the camera profile's card: what to look at before it rolls.
package reminder

import (
	"slices"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/keys"
	"rollready/tui/widget"
)

// Name is the word on the tab.
const Name = "Reminder"

// reminder is the camera profile's card: what to look at on the camera before
// it rolls. Lines can be ticked; ticks are not kept.
type reminder struct {
	desk   *desk.Desk
	card   widget.Scroll
	at     int  // the chosen line
	seek   bool // the chosen line is to be brought into view
	rows   []cardRow
	ticked map[string]bool
	cut    presets.Camera // the profile before a line was taken out
	table  keys.Table
}

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	r := &reminder{desk: d, ticked: map[string]bool{}}
	r.card.Pressed = r.pressed
	r.table = keys.Table{
		{Press: "enter", Does: "go on to the monitor", Word: "go on", Do: keys.Then(func() { d.Go(desk.MonitorName) })},
		{Press: "space", Does: "tick a line off", Word: "tick", Do: keys.Then(r.tick)},
		{Press: "up down", Does: "choose a line; past the last one, the rest of the card", Do: keys.Do(r.move)},
		{Press: "pgup pgdown home end", Shown: "PgUp PgDn", Does: "more of the card; Home End and the wheel too", Do: keys.Do(r.move)},
		{Press: "e", Does: "change the line: mic level, cable, your own", Word: "edit", Do: keys.Cmd(r.edit)},
		{Press: "n", Does: "new line of your own", Word: "new line", Do: keys.Cmd(r.add)},
		{Press: "d", Does: "take out a line of your own; u brings it back", Do: keys.Cmd(r.remove)},
		{Press: "u", Does: "bring back the line taken out", Do: keys.Cmd(r.undo)},
		{Press: "x", Does: "show this card at the start, or not", Do: keys.Cmd(r.skip)},
	}
	return r
}

// Name is the word on the tab.
func (*reminder) Name() string { return Name }

// Open looks for outputs: the line-up holds for one of them.
func (r *reminder) Open() tea.Cmd {
	return desk.FindOutputs(r.desk.Rig)
}

// Keys is the table of keys.
func (r *reminder) Keys() keys.Table { return r.table }

// Update has nothing to wait for.
func (*reminder) Update(tea.Msg) tea.Cmd { return nil }

// cardLine is a line of the card and how it is changed.
type cardLine struct {
	text string
	own  int // index in Reminders, −1 for the card's own
	ask  string
	edit func(c *presets.Camera, text string)
	old  string
}

func (r *reminder) lines() []cardLine {
	c := r.desk.Camera
	level, cable := c.MicLevel, c.Cable
	if level == "" {
		level = "not noted yet (e)"
	}
	if cable == "" {
		cable = "not noted yet (e)"
	}
	lines := []cardLine{
		{"Mic level on the camera: " + level, -1, "Mic level, as the camera's menu words it:", func(c *presets.Camera, s string) { c.MicLevel = s }, c.MicLevel},
		{"Cable: " + cable, -1, "Cable, pad, DC block:", func(c *presets.Camera, s string) { c.Cable = s }, c.Cable},
	}
	for i, text := range c.Reminders {
		lines = append(lines, cardLine{text, i, "Reminder:", func(c *presets.Camera, s string) { c.Reminders[i] = s }, text})
	}
	return lines
}

// line is the chosen one; the card is brought to it.
func (r *reminder) line() cardLine {
	r.choose(r.at)
	return r.lines()[r.at]
}

// change alters the profile's lines.
func (r *reminder) change(alter func(c *presets.Camera)) tea.Cmd {
	c := r.desk.Camera
	c.Reminders = slices.Clone(c.Reminders)
	alter(&c)
	r.seek = true
	return r.desk.ChangeCamera(c)
}

func (r *reminder) edit() tea.Cmd {
	line := r.line()
	return r.desk.Ask(line.ask, line.old, func(text string) (tea.Cmd, error) {
		return r.change(func(c *presets.Camera) { line.edit(c, text) }), nil
	})
}

func (r *reminder) add() tea.Cmd {
	return r.desk.Ask("New reminder:", "", func(text string) (tea.Cmd, error) {
		return r.change(func(c *presets.Camera) { c.Reminders = append(c.Reminders, text) }), nil
	})
}

func (r *reminder) remove() tea.Cmd {
	line := r.line()
	if line.own < 0 {
		r.desk.Say("Only lines of your own can be taken out")
		return nil
	}
	r.cut = r.desk.Camera
	r.desk.Say("Taken out; u brings it back")
	return r.change(func(c *presets.Camera) { c.Reminders = slices.Delete(c.Reminders, line.own, line.own+1) })
}

func (r *reminder) undo() tea.Cmd {
	if r.cut.Name != r.desk.Camera.Name {
		r.desk.Say("Nothing to undo")
		return nil
	}
	old := r.cut.Reminders
	r.cut = presets.Camera{}
	return r.change(func(c *presets.Camera) { c.Reminders = old })
}

func (r *reminder) skip() tea.Cmd {
	return r.change(func(c *presets.Camera) { c.SkipCard = !c.SkipCard })
}

// tick marks the chosen line as done and goes to the next.
func (r *reminder) tick() {
	text := r.lines()[r.at].text
	r.ticked[text] = !r.ticked[text]
	r.choose(r.at + 1)
}

// choose brings a line into view, the nearest there is.
func (r *reminder) choose(i int) { r.at, r.seek = max(min(i, len(r.lines())-1), 0), true }

// move goes from line to line, and where there is none or it is out of sight,
// over the card.
func (r *reminder) move(k string) {
	r.choose(r.at)
	from, to := r.place()
	switch k {
	case "up":
		if r.at > 0 && from >= r.card.Top {
			r.choose(r.at - 1)
			return
		}
	case "down":
		if r.at < len(r.lines())-1 && to < r.card.Top+r.card.Area.H {
			r.choose(r.at + 1)
			return
		}
	case "home":
		r.at = 0
	case "end":
		r.at = len(r.lines()) - 1
	}
	r.card.Key(k)
	r.seek = false
}

// pressed chooses the line of a row and ticks it.
func (r *reminder) pressed(row int) tea.Cmd {
	if i := r.rows[row].line; i >= 0 {
		r.at = i
		r.tick()
	}
	return nil
}
