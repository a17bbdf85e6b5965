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
	return &reminder{desk: d, ticked: map[string]bool{}}
}

func (*reminder) Name() string { return reminderName }

// Open looks for outputs: the line-up holds for one of them.
func (r *reminder) Open() tea.Cmd {
	if r.desk.opt.Line == nil {
		return nil
	}
	return findOutputs(r.desk.opt.Line)
}

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

// Draw shows the card in the middle, and under it the cautions there is room
// for.
func (r *reminder) Draw(f *Frame, area canvas.Rect) {
	w := min(area.W-4, 92)
	box := canvas.Rect{X: area.X + (area.W-w)/2, Y: area.Y + min(1+area.H/12, 4), W: w, H: area.H}.Clip(area)
	f.TextIn(box, "Before you roll with "+r.desk.Camera.Name, f.Strong(theme.Ink))
	y := 1
	for _, line := range wrap(r.age(), box.W) {
		f.TextIn(box.Row(y), line, f.Style(theme.Dim))
		y++
	}
	for _, text := range [...]string{r.otherOutput(), r.desk.volumeTrouble()} {
		for _, line := range wrap(text, box.W-2) {
			if line != "" {
				f.TextIn(box.Row(y), " "+line+" ", f.Chip(theme.Hot))
				y++
			}
		}
	}
	used := r.drawLines(f, box.Rows(y+1, box.H-y-2))
	rest := box.Rows(y+2+used, box.H)
	f.TextIn(rest, r.startWords(), f.Style(theme.Dim))
	for i, line := range cautions(w) {
		f.TextIn(rest.Row(2+i), line, f.Style(theme.Dim))
	}
}

// drawLines writes the lines, broken where they are long, scrolled so that
// the chosen one shows. It gives the rows used.
func (r *reminder) drawLines(f *Frame, area canvas.Rect) int {
	lines := r.lines()
	r.list.resize(len(lines))
	r.list.top = min(r.list.top, r.list.at)
	for r.height(lines[r.list.top:r.list.at+1], area.W) > area.H && r.list.top < r.list.at {
		r.list.top++
	}
	y := 0
	for i := r.list.top; i < len(lines) && y < area.H; i++ {
		y += r.drawLine(f, area.Rows(y, area.H), lines[i].text, i)
	}
	return min(y, area.H)
}

func (r *reminder) height(lines []cardLine, w int) int {
	n := 0
	for _, l := range lines {
		n += len(wrap(l.text, w-7))
	}
	return n
}

func (r *reminder) drawLine(f *Frame, area canvas.Rect, text string, i int) int {
	style, box := f.Style(theme.Ink), "[ ]"
	if r.ticked[text] {
		style, box = f.Style(theme.Dim), "[✓]"
	}
	rows := wrap(text, area.W-7)
	area = area.Rows(0, len(rows))
	if i == r.list.at {
		style = f.Chosen().On(theme.Panel)
		f.Fill(area, ' ', style)
		f.Set(area.X, area.Y, '▸', style)
	}
	f.TextIn(area.Skip(1), box, style)
	for y, line := range rows {
		f.TextIn(area.Row(y).Skip(6), line, style)
	}
	f.Hit(area, Click(func() tea.Cmd { r.list.at = i; r.tick(); return nil }))
	return len(rows)
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
	days := int(r.desk.opt.Now().Sub(c.LinedUp) / (24 * time.Hour))
	when := strconv.Itoa(days) + " days ago"
	switch days {
	case 0:
		when = "today"
	case 1:
		when = "yesterday"
	}
	text := "Lined up " + when
	if c.LinedUpWith != "" {
		text += " over " + c.LinedUpWith + " at " + heightWords(c.LinedUpVolume)
	}
	if c.LinedUpPreset != "" {
		text += " with preset " + c.LinedUpPreset
	}
	if c.MicLevel != "" {
		text += ", mic level " + c.MicLevel
	}
	return text + "."
}

// otherOutput warns where the line-up was made over another output than the
// one in use, "" where it holds or nothing is known.
func (r *reminder) otherOutput() string {
	d := r.desk
	with := d.Camera.LinedUpWith
	switch {
	case with == "" || len(d.outputs) == 0 || with == d.sendsTo:
		return ""
	case !slices.ContainsFunc(d.outputs, func(o Output) bool { return o.Name == with }):
		return with + " is not connected: over another output the camera meter is wrong until you line up again."
	}
	return "Now in use: " + d.sendsTo + ". The camera meter is wrong until you line up over it, or change the output."
}

// cautions are the words of care, for the width there is.
func cautions(w int) []string {
	var lines []string
	for _, text := range []string{
		"Headphones: start low. Loud sound harms hearing; follow WHO/ITU H.870 and your local rules.",
		"Speakers near an open microphone howl.",
		"A camera's mic jack may carry plug-in power and expects millivolts: use a pad and a DC block or an isolating transformer as the makers advise; when in doubt ask a qualified technician.",
		"The figures here help to set levels; they are not a sound exposure measurement.",
	} {
		lines = append(lines, wrap(text, w)...)
	}
	return lines
}
