// Package takes is the screen of what was recorded, the newest on top.
package takes

import (
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/take"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

// trackWords sums up the tracks: "processed and input, 2 channels each".
func trackWords(t take.Take) string {
	var kinds []string
	for _, name := range t.Tracks {
		kind := strings.TrimRight(name, " 0123456789")
		if !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	return strings.Join(kinds, ", ")
}

const Name = "Takes"

// takeList is the screen of what was recorded, the newest on top.
type takeList struct {
	desk  *desk.Desk
	list  widget.List
	items []take.Found
	undo  desk.Undo
	asked int    // number of the newest question to the disk
	want  string // path of the take to be chosen when the list comes
}

// takesMsg is the list after an action on disk.
type takesMsg struct {
	asked int
	items []take.Found
	next  int
	err   error // of the action or the list
	said  string
	want  string
	undo  desk.Undo
}

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	t := &takeList{desk: d}
	t.list.Again = func() tea.Cmd { return t.play(false) }
	return t
}

func (*takeList) Name() string { return Name }

func (*takeList) Keys() []desk.Key {
	return []desk.Key{
		{Press: "↑ ↓", Does: "choose a take"},
		{Press: "enter", Does: "play it back as recorded; esc goes back to the input", Short: "play"},
		{Press: "i", Does: "play its raw input through the chain as it is now"},
		{Press: "c", Does: "circle it as a good one, or not", Short: "circle"},
		{Press: "e", Does: "edit its note", Short: "note"},
		{Press: "d", Does: "delete it; u brings it back", Short: "delete"},
		{Press: "u", Does: "undo the last delete, circle or note", Short: "undo"},
		{Press: "w", Does: "write the sound report of the take's day", Short: "report"},
		{Press: "s", Does: "scene of the next take", Short: "scene"},
		{Press: "n", Does: "next scene: 12A becomes 12B"},
		{Press: "mouse", Does: "press to choose, press again to play"},
	}
}

// Open reads the folder.
func (t *takeList) Open() tea.Cmd { return t.read() }

func (t *takeList) read() tea.Cmd {
	return t.run(func() (takesMsg, error) { return takesMsg{}, nil })
}

// run makes an action on disk a command and reads the folder after it.
func (t *takeList) run(action func() (takesMsg, error)) tea.Cmd {
	rec, scene := t.desk.Rig.Recorder(), t.desk.Settings.Recording.Scene
	t.asked++
	asked := t.asked
	return func() tea.Msg {
		m, err := action()
		m.asked, m.err = asked, err
		m.items, err = rec.Takes()
		if m.err == nil {
			m.err = err
		}
		m.next = rec.Next(scene)
		slices.Reverse(m.items)
		return m
	}
}

// Update answers keys and takes lists.
func (t *takeList) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case takesMsg:
		t.arrived(m)
	case desk.TakesChangedMsg:
		return t.read()
	case desk.RolledMsg:
		t.want = m.Take.Path
	case tea.KeyPressMsg:
		return t.key(m.String())
	}
	return nil
}

func (t *takeList) arrived(m takesMsg) {
	if m.undo.Do != nil {
		t.undo = m.undo
	}
	switch {
	case m.err != nil:
		t.desk.Fail(m.err)
	case m.said != "":
		t.desk.Say(m.said)
	}
	if m.asked != t.asked { // a newer list is on its way
		return
	}
	chosen := ""
	if t.list.At < len(t.items) {
		chosen = t.items[t.list.At].Take.Path
	}
	t.items, t.desk.Next = m.items, m.next
	t.list.Resize(len(t.items))
	for _, path := range []string{m.want, t.want, chosen} {
		if i := slices.IndexFunc(t.items, func(f take.Found) bool { return f.Take.Path == path }); path != "" && i >= 0 {
			t.list.At = i
			break
		}
	}
	t.want = ""
}

// item is a take as it is now: the rolling one changes all the time.
func (t *takeList) item(i int) take.Found {
	if now := t.desk.Rec; now.Rolling && now.Take.Path == t.items[i].Take.Path {
		return take.Found{Take: now.Take}
	}
	return t.items[i]
}

func (t *takeList) key(k string) tea.Cmd {
	switch {
	case k == "u":
		return t.takeBack()
	case k == "s":
		return t.askScene()
	case k == "n":
		return t.setScene(take.NextScene(t.desk.Settings.Recording.Scene))
	case t.list.Key(k), len(t.items) == 0:
		return nil
	}
	f := t.item(t.list.At)
	rolling := t.desk.Rec.Rolling && f.Take.Path == t.desk.Rec.Take.Path
	switch {
	case k == "w":
		return t.report(f.Take.Started)
	case k == "d" && !rolling:
		return t.remove(f.Take)
	case k == "e" && rolling:
		return t.noteRolling(f.Take)
	case f.Err != nil:
		t.desk.Fail(f.Err)
	case rolling && (k == "c" || k == "d" || k == "enter" || k == "i"):
		t.desk.Say(f.Take.Title() + " is rolling: stop it first (ctrl-r)")
	default:
		return t.act(k, f.Take)
	}
	return nil
}

// act answers the keys that need a finished, readable take.
func (t *takeList) act(k string, f take.Take) tea.Cmd {
	switch k {
	case "enter":
		return t.play(false)
	case "i":
		return t.play(true)
	case "c":
		word := " is circled"
		if f.Circled {
			word = " is not circled any more"
		}
		return t.change(f, f.Title()+word, func(n *take.Take) { n.Circled = !f.Circled })
	case "e":
		return t.desk.Ask("Note on "+f.Title()+":", f.Note, func(text string) (tea.Cmd, error) {
			return t.change(f, "Noted", func(n *take.Take) { n.Note = text }), nil
		})
	}
	return nil
}
