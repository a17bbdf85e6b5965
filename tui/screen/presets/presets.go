// Package presets is the screen of kept chain settings.
package presets

import (
	"fmt"
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/keys"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// Name is the word on the tab.
const Name = "Presets"

// presetList is the screen of kept chain settings.
type presetList struct {
	desk  *desk.Desk
	list  widget.List
	items []desk.PresetItem
	curve view.Curve
	undo  desk.Undo
	order desk.Order
	want  string // name to be chosen when the list comes
	table keys.Table
}

// presetsMsg is the list after an action on disk.
type presetsMsg struct {
	read  uint64 // its place in the order
	items []desk.PresetItem
	err   error // of the action or the list
	said  string
	want  string
	undo  desk.Undo

	renamed string // what want was called before
}

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	p := &presetList{desk: d}
	p.list.Again = p.take
	p.table = keys.Table{
		p.list.Keys("choose a preset", ""),
		{Press: "enter", Does: "take it: the chain changes at once", Word: "take", Do: keys.Cmd(p.take)},
		{Press: "k", Does: "keep the present chain as a preset", Word: "keep", Do: keys.Cmd(p.keep)},
		{Press: "c", Does: "copy it", Word: "copy", Do: p.chosen(p.copy)},
		{Press: "r", Does: "rename it", Word: "rename", Do: p.chosen(p.rename)},
		{Press: "e", Does: "edit its note", Word: "note", Do: p.chosen(p.note)},
		{Press: "d", Does: "delete it; u brings it back", Word: "delete", Do: p.chosen(p.remove)},
		{Press: "u", Does: "undo the last delete or keep", Word: "undo", Do: keys.Cmd(p.takeBack)},
		{Press: "a b", Does: "mark as A or B for comparison", Word: "A/B", Do: p.mark},
		{Shown: "mouse", Does: "press to choose, press again to take"},
	}
	return p
}

// Name is the word on the tab.
func (*presetList) Name() string { return Name }

// Keys is the table of keys.
func (p *presetList) Keys() keys.Table { return p.table }

// chosen is an answer to a key that needs a preset.
func (p *presetList) chosen(do func(name string) tea.Cmd) func(string) tea.Cmd {
	return keys.Cmd(func() tea.Cmd {
		if len(p.items) == 0 {
			return nil
		}
		return do(p.items[p.list.At].Name)
	})
}

// Open reads the list.
func (p *presetList) Open() tea.Cmd {
	p.want = p.desk.Settings.Preset
	return p.run(func() (presetsMsg, error) { return presetsMsg{}, nil })
}

// run makes an action on disk a command and reads the list after it.
func (p *presetList) run(action func() (presetsMsg, error)) tea.Cmd {
	return func() tea.Msg {
		m, err := action()
		m.err, m.read = err, p.order.Reading()
		if m.items, err = p.desk.ReadPresets(); m.err == nil {
			m.err = err
		}
		return m
	}
}

// Update takes lists.
func (p *presetList) Update(msg tea.Msg) tea.Cmd {
	if m, ok := msg.(presetsMsg); ok {
		p.arrived(m)
	}
	return nil
}

func (p *presetList) arrived(m presetsMsg) {
	if m.undo.Do != nil {
		p.undo = m.undo
	}
	switch {
	case m.err != nil:
		p.desk.Fail(m.err)
	case unreadable(m.items) != nil:
		p.desk.Fail(unreadable(m.items))
	case m.said != "":
		p.desk.Say(m.said)
	}
	if m.err == nil && m.renamed != "" {
		p.desk.Rig.PresetRenamed(m.renamed, m.want)
		p.desk.Refresh()
	}
	if !p.order.Newest(m.read) {
		return
	}
	p.items = m.items
	p.list.Resize(len(p.items))
	if m.want == "" {
		m.want = p.want
	}
	if i := p.find(m.want); i >= 0 {
		p.list.At = i
	}
	p.want = ""
	if i := p.find(p.desk.Settings.Preset); i >= 0 && p.items[i].Wrong == nil {
		p.desk.Rig.PresetIs(p.items[i].Preset)
		p.desk.Refresh()
	}
}

func unreadable(items []desk.PresetItem) error {
	for _, i := range items {
		if i.Wrong != nil {
			return i.Wrong
		}
	}
	return nil
}

func (p *presetList) find(name string) int {
	return slices.IndexFunc(p.items, func(i desk.PresetItem) bool { return i.Name == name })
}

func (p *presetList) copy(name string) tea.Cmd {
	return p.desk.Ask("Copy "+name+" as:", name+" 2", p.named(func(to string) (presetsMsg, error) {
		return presetsMsg{said: "Copied to " + to, want: to}, p.desk.Rig.Store().Presets.Copy(name, to)
	}))
}

// mark marks the chosen preset as a side of the comparison.
func (p *presetList) mark(side string) tea.Cmd {
	return p.chosen(func(name string) tea.Cmd {
		p.desk.Change(func(s *presets.Settings) {
			if side == "a" {
				s.CompareA = name
			} else {
				s.CompareB = name
			}
		})
		p.desk.Say(name + " is " + strings.ToUpper(side))
		return nil
	})(side)
}

// take puts the chosen preset into use.
func (p *presetList) take() tea.Cmd {
	if len(p.items) == 0 {
		return nil
	}
	item := p.items[p.list.At]
	if item.Wrong != nil {
		p.desk.Fail(item.Wrong)
		return nil
	}
	p.desk.UsePreset(item.Preset, item.Name+" is in use")
	return nil
}

// named checks a typed name before an action on it.
func (p *presetList) named(action func(name string) (presetsMsg, error)) func(string) (tea.Cmd, error) {
	return func(text string) (tea.Cmd, error) {
		if err := presets.CheckName(text); err != nil {
			return nil, err
		}
		if p.find(text) >= 0 {
			return nil, fmt.Errorf("%s exists: choose another name", text)
		}
		return p.run(func() (presetsMsg, error) { return action(text) }), nil
	}
}

// keep asks for the name under which the present chain is kept.
func (p *presetList) keep() tea.Cmd {
	return p.desk.Ask("Keep the present chain as:", p.desk.Settings.Preset, func(name string) (tea.Cmd, error) {
		return p.desk.Over(name, p.find(name) >= 0, func() tea.Cmd { return p.save(name) })
	})
}

// save writes the present chain; what was under that name can be brought back.
func (p *presetList) save(name string) tea.Cmd {
	d, store := p.desk, p.desk.Rig.Store().Presets
	kept := presets.Preset{Name: name, Strips: d.Settings.Strips}
	m := presetsMsg{said: "Kept " + name, want: name}
	if i := p.find(name); i >= 0 && p.items[i].Wrong == nil {
		old := p.items[i].Preset
		kept.Note = old.Note
		m.said = "Kept over " + name + "; u brings the old one back"
		m.undo = desk.Undo{What: "the old " + name + " is back", Do: func() error { return store.Save(old) }}
	}
	d.UsePreset(kept, "")
	return p.run(func() (presetsMsg, error) { return m, store.Save(kept) })
}

func (p *presetList) rename(name string) tea.Cmd {
	return p.desk.Ask("Rename "+name+" to:", name, p.named(func(to string) (presetsMsg, error) {
		return presetsMsg{said: name + " is now " + to, want: to, renamed: name}, p.desk.Rig.Store().Presets.Rename(name, to)
	}))
}

func (p *presetList) note(string) tea.Cmd {
	item := p.items[p.list.At]
	if item.Wrong != nil {
		p.desk.Fail(item.Wrong)
		return nil
	}
	return p.desk.Ask("Note:", item.Note, func(text string) (tea.Cmd, error) {
		item.Note = text
		return p.run(func() (presetsMsg, error) {
			return presetsMsg{said: "Noted", want: item.Name}, p.desk.Rig.Store().Presets.Save(item.Preset)
		}), nil
	})
}

func (p *presetList) remove(name string) tea.Cmd {
	store := p.desk.Rig.Store().Presets
	return p.run(func() (presetsMsg, error) {
		return presetsMsg{
			said: "Deleted " + name + "; u brings it back",
			undo: desk.Undo{What: name + " is back", Do: func() error { return store.Undelete(name) }},
		}, store.Delete(name)
	})
}

func (p *presetList) takeBack() tea.Cmd {
	u := p.undo
	if u.Do == nil {
		p.desk.Say("Nothing to undo")
		return nil
	}
	p.undo = desk.Undo{}
	return p.run(func() (presetsMsg, error) { return presetsMsg{said: u.What}, u.Do() })
}
