// Package takes is the screen of what was recorded, the newest on top.
package takes

import (
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/dailies"
	"rollready/capture/take"
	"rollready/tui/desk"
	"rollready/tui/keys"
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

// Name is the word on the tab.
const Name = "Takes"

// takeList is the screen of what was recorded, the newest on top.
type takeList struct {
	desk  *desk.Desk
	list  widget.List
	items []take.Found
	pairs dailies.Pairs // which clips lie over them
	undo  desk.Undo
	order desk.Order
	want  string // path of the take to be chosen when the list comes
	table keys.Table
}

// takesMsg is the list after an action on disk.
type takesMsg struct {
	read  uint64 // its place in the order
	items []take.Found
	pairs dailies.Pairs
	next  int
	err   error // of the action or the list
	said  string
	want  string
	undo  desk.Undo
}

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	t := &takeList{desk: d}
	t.list.Again = func() tea.Cmd { cmd, _ := t.table.Do("enter"); return cmd }
	t.table = keys.Table{
		t.list.Keys("choose a take", ""),
		{Press: "enter", Does: "play it back as recorded; esc goes back to the input", Word: "play", Do: t.ended(func(f take.Take) tea.Cmd { return t.play(f, false) })},
		{Press: "i", Does: "play its raw input through the chain as it is now", Do: t.ended(func(f take.Take) tea.Cmd { return t.play(f, true) })},
		{Press: "b", Does: "play it beside its clip, equally loud; b again swaps the two", Now: t.besideWord, Do: t.ended(t.beside)},
		{Press: "o", Does: "the other clips of it", Do: t.ended(t.nextClip)},
		{Press: "c", Does: "circle it as a good one, or not", Word: "circle", Do: t.ended(t.circle)},
		{Press: "e", Does: "edit its note", Word: "note", Do: t.chosen(t.note)},
		{Press: "d", Does: "delete it; u brings it back", Word: "delete", Do: t.chosen(t.remove)},
		{Press: "u", Does: "undo the last delete, circle or note", Word: "undo", Do: keys.Cmd(t.takeBack)},
		{Press: "w", Does: "write the sound report of the take's day", Word: "report", Do: t.chosen(func(f take.Found) tea.Cmd { return t.report(f.Take.Started) })},
		{Press: "s", Does: "scene of the next take", Word: "scene", Do: keys.Cmd(t.askScene)},
		{Press: "n", Does: "next scene: 12A becomes 12B", Do: keys.Cmd(func() tea.Cmd { return t.setScene(take.NextScene(d.Settings.Recording.Scene)) })},
		{Shown: "mouse", Does: "press to choose, press again to play"},
	}
	return t
}

// Name is the word on the tab.
func (*takeList) Name() string { return Name }

// Keys is the table of keys.
func (t *takeList) Keys() keys.Table { return t.table }

// chosen is an answer to a key that needs a take.
func (t *takeList) chosen(do func(take.Found) tea.Cmd) func(string) tea.Cmd {
	return keys.Cmd(func() tea.Cmd {
		if len(t.items) == 0 {
			return nil
		}
		return do(t.item(t.list.At))
	})
}

// ended is one that needs a take that can be read and does not roll.
func (t *takeList) ended(do func(take.Take) tea.Cmd) func(string) tea.Cmd {
	return t.chosen(func(f take.Found) tea.Cmd {
		switch {
		case f.Err != nil:
			t.desk.Fail(f.Err)
		case t.rolling(f.Take):
			t.desk.Say(f.Take.Title() + " is rolling: stop it first (ctrl-r)")
		default:
			return do(f.Take)
		}
		return nil
	})
}

func (t *takeList) rolling(f take.Take) bool {
	return t.desk.Rec.Rolling && f.Path == t.desk.Rec.Take.Path
}

// Open reads the folder.
func (t *takeList) Open() tea.Cmd { return t.read() }

func (t *takeList) read() tea.Cmd {
	return t.run(func() (takesMsg, error) { return takesMsg{}, nil })
}

// run makes an action on disk a command and reads the folder after it.
func (t *takeList) run(action func() (takesMsg, error)) tea.Cmd {
	rec, scene := t.desk.Rig.Recorder(), t.desk.Settings.Recording.Scene
	return func() tea.Msg {
		m, err := action()
		m.err, m.read = err, t.order.Reading()
		m.items, err = rec.Takes()
		if m.err == nil {
			m.err = err
		}
		m.next, m.pairs = rec.Next(scene), dailies.LoadPairs(rec.Folder())
		slices.Reverse(m.items)
		return m
	}
}

// Update takes lists.
func (t *takeList) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case takesMsg:
		t.arrived(m)
	case desk.TakesChangedMsg:
		return t.read()
	case desk.RolledMsg:
		t.want = m.Take.Path
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
	if !t.order.Newest(m.read) {
		return
	}
	chosen := ""
	if t.list.At < len(t.items) {
		chosen = t.items[t.list.At].Take.Path
	}
	t.items, t.pairs, t.desk.Next = m.items, m.pairs, m.next
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

func (t *takeList) circle(f take.Take) tea.Cmd {
	word := " is circled"
	if f.Circled {
		word = " is not circled any more"
	}
	return t.change(f, f.Title()+word, func(n *take.Take) { n.Circled = !f.Circled })
}

// note asks for the note, also of the take that rolls.
func (t *takeList) note(f take.Found) tea.Cmd {
	switch {
	case t.rolling(f.Take):
		return t.noteRolling(f.Take)
	case f.Err != nil:
		t.desk.Fail(f.Err)
		return nil
	}
	return t.desk.Ask("Note on "+f.Take.Title()+":", f.Take.Note, func(text string) (tea.Cmd, error) {
		return t.change(f.Take, "Noted", func(n *take.Take) { n.Note = text }), nil
	})
}
