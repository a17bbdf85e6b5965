// Package reminder is the camera profile's card: what to look at before it rolls.
package reminder

import (
	"slices"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

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
}

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	r := &reminder{desk: d, ticked: map[string]bool{}}
	r.card.Pressed = r.pressed
	return r
}

func (*reminder) Name() string { return Name }

// Open looks for outputs: the line-up holds for one of them.
func (r *reminder) Open() tea.Cmd {
	return desk.FindOutputs(r.desk.Rig)
}

func (*reminder) Keys() []desk.Key {
	return []desk.Key{
		{Press: "enter", Does: "go on to the monitor", Short: "go on"},
		{Press: "space", Does: "tick a line off", Short: "tick"},
		{Press: "↑ ↓", Does: "choose a line; past the last one, the rest of the card"},
		{Press: "PgUp PgDn", Does: "more of the card; Home End and the wheel too"},
		{Press: "e", Does: "change the line: mic level, cable, your own", Short: "edit"},
		{Press: "n", Does: "new line of your own", Short: "new line"},
		{Press: "d", Does: "take out a line of your own; u brings it back"},
		{Press: "u", Does: "bring back the line taken out"},
		{Press: "x", Does: "show this card at the start, or not"},
	}
}

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

// Update answers keys.
func (r *reminder) Update(msg tea.Msg) tea.Cmd {
	m, ok := msg.(tea.KeyPressMsg)
	if !ok {
		return nil
	}
	lines := r.lines()
	r.choose(r.at)
	if r.move(m.String()) {
		return nil
	}
	r.seek = true
	c, line := r.desk.Camera, lines[r.at]
	c.Reminders = slices.Clone(c.Reminders)
	switch m.String() {
	case "enter":
		r.desk.Go(desk.MonitorName)
	case "space":
		r.tick()
	case "x":
		c.SkipCard = !c.SkipCard
		return r.desk.ChangeCamera(c)
	case "e":
		return r.edit(line)
	case "n":
		return r.desk.Ask("New reminder:", "", func(text string) (tea.Cmd, error) {
			c.Reminders = append(c.Reminders, text)
			return r.desk.ChangeCamera(c), nil
		})
	case "d":
		return r.remove(c, line)
	case "u":
		if r.cut.Name == c.Name {
			c.Reminders, r.cut = r.cut.Reminders, presets.Camera{}
			return r.desk.ChangeCamera(c)
		}
	}
	return nil
}

func (r *reminder) edit(line cardLine) tea.Cmd {
	return r.desk.Ask(line.ask, line.old, func(text string) (tea.Cmd, error) {
		c := r.desk.Camera
		c.Reminders = slices.Clone(c.Reminders)
		line.edit(&c, text)
		return r.desk.ChangeCamera(c), nil
	})
}

func (r *reminder) remove(c presets.Camera, line cardLine) tea.Cmd {
	if line.own < 0 {
		r.desk.Say("Only lines of your own can be taken out")
		return nil
	}
	r.cut = r.desk.Camera
	c.Reminders = slices.Delete(c.Reminders, line.own, line.own+1)
	r.desk.Say("Taken out; u brings it back")
	return r.desk.ChangeCamera(c)
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
// over the card; false if the key means nothing to it.
func (r *reminder) move(k string) bool {
	from, to := r.place()
	switch k {
	case "up", "k":
		if r.at > 0 && from >= r.card.Top {
			r.choose(r.at - 1)
			return true
		}
	case "down", "j":
		if r.at < len(r.lines())-1 && to < r.card.Top+r.card.Area.H {
			r.choose(r.at + 1)
			return true
		}
	case "home":
		r.at = 0
	case "end":
		r.at = len(r.lines()) - 1
	}
	if r.card.Key(k) {
		r.seek = false
		return true
	}
	return false
}

// pressed chooses the line of a row and ticks it.
func (r *reminder) pressed(row int) tea.Cmd {
	if i := r.rows[row].line; i >= 0 {
		r.at = i
		r.tick()
	}
	return nil
}
