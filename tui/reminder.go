package tui

import (
	"slices"
	"strconv"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rollready/presets"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

const reminderName = "Reminder"

// reminder is the camera profile's card: what to look at on the camera before
// it rolls. Lines can be ticked; ticks are not kept.
type reminder struct {
	desk   *Desk
	list   list
	ticked map[string]bool
	cut    presets.Camera // the profile before a line was taken out
}

func newReminder(d *Desk) Screen {
	r := &reminder{desk: d, ticked: map[string]bool{}}
	r.list.again = func() tea.Cmd { r.tick(); return nil }
	return r
}

func (*reminder) Name() string  { return reminderName }
func (*reminder) Open() tea.Cmd { return nil }

func (*reminder) Keys() []Key {
	return []Key{
		{"enter", "go on to the monitor", "go on"},
		{"space", "tick a line off", "tick"},
		{"↑ ↓", "choose a line", ""},
		{"e", "change the line: mic level, cable, your own", "edit"},
		{"n", "new line of your own", "new line"},
		{"d", "take out a line of your own; u brings it back", ""},
		{"u", "bring back the line taken out", ""},
		{"x", "show this card at the start, or not", ""},
	}
}

// cardLine is a line of the card; edit is nil where it can't be changed.
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
		level = "lowest setting that lines up (e writes it down)"
	}
	if cable == "" {
		cable = "pad and DC block where the makers advise them (e writes it down)"
	}
	lines := []cardLine{
		{"Mic level on the camera: " + level, -1, "Mic level, as the camera's menu words it:", func(c *presets.Camera, s string) { c.MicLevel = s }, c.MicLevel},
		{"Automatic level and wind cut on the camera: off", -1, "", nil, ""},
		{"Cable: " + cable, -1, "Cable, pad, DC block:", func(c *presets.Camera, s string) { c.Cable = s }, c.Cable},
	}
	for i, text := range c.Reminders {
		lines = append(lines, cardLine{text, i, "Reminder:", func(c *presets.Camera, s string) { c.Reminders[i] = s }, text})
	}
	return lines
}

// Update answers keys.
func (r *reminder) Update(msg tea.Msg) tea.Cmd {
	m, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil
	}
	lines := r.lines()
	r.list.resize(len(lines))
	if r.list.key(m.String()) {
		return nil
	}
	c, line := r.desk.Camera, lines[r.list.at]
	c.Reminders = slices.Clone(c.Reminders)
	switch m.String() {
	case "enter":
		r.desk.Go(monitorName)
	case " ":
		r.tick()
	case "x":
		c.SkipCard = !c.SkipCard
		return r.desk.changeCamera(c)
	case "e":
		return r.edit(line)
	case "n":
		return r.desk.Ask("New reminder:", "", func(text string) (tea.Cmd, error) {
			c.Reminders = append(c.Reminders, text)
			return r.desk.changeCamera(c), nil
		})
	case "d":
		return r.remove(c, line)
	case "u":
		if r.cut.Name == c.Name {
			c.Reminders, r.cut = r.cut.Reminders, presets.Camera{}
			return r.desk.changeCamera(c)
		}
	}
	return nil
}

func (r *reminder) edit(line cardLine) tea.Cmd {
	if line.edit == nil {
		r.desk.Say("This line stays: automatic level makes every setting here useless")
		return nil
	}
	return r.desk.Ask(line.ask, line.old, func(text string) (tea.Cmd, error) {
		c := r.desk.Camera
		c.Reminders = slices.Clone(c.Reminders)
		line.edit(&c, text)
		return r.desk.changeCamera(c), nil
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
	return r.desk.changeCamera(c)
}

// tick marks the chosen line as done and goes to the next.
func (r *reminder) tick() {
	lines := r.lines()
	if r.list.at < len(lines) {
		text := lines[r.list.at].text
		r.ticked[text] = !r.ticked[text]
		r.list.resize(len(lines))
		r.list.move(1)
	}
}

// Draw shows the card in the middle, with the cautions under it.
func (r *reminder) Draw(f *Frame, area canvas.Rect) {
	lines := r.lines()
	r.list.resize(len(lines))
	w := min(area.W-4, 92)
	cautions := r.cautions(w)
	h := 4 + len(lines) + 1 + len(cautions)
	box := canvas.Rect{X: area.X + (area.W-w)/2, Y: area.Y + max((area.H-h)/3, 0), W: w, H: area.H}.Clip(area)
	f.TextIn(box, "Before you roll with "+r.desk.Camera.Name, f.Strong(theme.Ink))
	f.TextIn(box.Row(1), r.age(), f.Style(theme.Dim))
	rows := box.Rows(3, max(min(len(lines), box.H-5-min(len(cautions), 3)), 1))
	r.list.draw(f, rows, func(i int, at canvas.Rect, chosen bool) {
		style, box := f.Style(theme.Ink), "[ ] "
		if r.ticked[lines[i].text] {
			style, box = f.Style(theme.Dim), "[✓] "
		}
		if chosen {
			style = f.Chosen().On(theme.Panel)
			f.Fill(at, ' ', style)
		}
		f.TextIn(at.Inset(1, 0), box+lines[i].text, style)
	})
	rest := box.Rows(3+rows.H+1, box.H)
	f.TextIn(rest, r.startWords(), f.Style(theme.Dim))
	for i, line := range cautions {
		f.TextIn(rest.Row(2+i), line, f.Style(theme.Dim))
	}
}

func (r *reminder) startWords() string {
	if r.desk.Camera.SkipCard {
		return "This card stays away at the start for this camera (x)."
	}
	return "This card is shown at every start (x)."
}

// age says how old the line-up is: an old one may no longer be true.
func (r *reminder) age() string {
	c := r.desk.Camera
	if c.LinedUp.IsZero() {
		return "Never lined up: the camera meter shows our own level until it is."
	}
	days := int(r.desk.now().Sub(c.LinedUp) / (24 * time.Hour))
	when := strconv.Itoa(days) + " days ago"
	switch days {
	case 0:
		when = "today"
	case 1:
		when = "yesterday"
	}
	text := "Lined up " + when
	if c.LinedUpWith != "" {
		text += " with " + c.LinedUpWith
	}
	return text + "."
}

// cautions are the words of care, for the width there is.
func (r *reminder) cautions(w int) []string {
	var lines []string
	for _, text := range []string{
		"Headphones: start low. Loud sound harms hearing; follow WHO/ITU H.870 and your local rules.",
		"Speakers near an open microphone howl.",
		"A camera's mic jack may carry plug-in power and expects millivolts: use a pad and a DC block or an isolating transformer as the makers advise. When in doubt ask a qualified technician.",
		"The figures here help to set levels; they are not a sound exposure measurement.",
	} {
		lines = append(lines, wrap(text, w)...)
	}
	return lines
}
