package tui

import (
	"errors"
	"fmt"
	"slices"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
)

const presetsName = "Presets"

// presetList is the screen of kept chain settings.
type presetList struct {
	desk  *Desk
	list  list
	items []presetItem
	curve curve
	undo  undo
	asked int    // number of the newest question to the disk
	want  string // name to be chosen when the list comes
}

// presetItem is one preset, or the reason why it can't be read.
type presetItem struct {
	presets.Preset
	wrong error
}

// undo brings back what was deleted or written over.
type undo struct {
	what string
	do   func() error
}

// presetsMsg is the list after an action on disk.
type presetsMsg struct {
	asked int
	items []presetItem
	err   error // of the action or the list
	said  string
	want  string
	undo  undo

	renamed string // what want was called before
}

func newPresets(d *Desk) Screen {
	p := &presetList{desk: d}
	p.list.again = p.take
	return p
}

func (*presetList) Name() string { return presetsName }

func (*presetList) Keys() []Key {
	return []Key{
		{"↑ ↓", "choose a preset", ""},
		{"enter", "take it: the chain changes at once", "take"},
		{"s", "save the present chain under a name", "save"},
		{"c", "copy it", "copy"},
		{"r", "rename it", "rename"},
		{"e", "edit its note", "note"},
		{"d", "delete it; u brings it back", "delete"},
		{"u", "undo the last delete or save", "undo"},
		{"a b", "mark as A or B for comparison", "A/B"},
		{"mouse", "press to choose, press again to take", ""},
	}
}

// Open reads the list.
func (p *presetList) Open() tea.Cmd {
	p.want = p.desk.Settings.Preset
	return p.run(func() (presetsMsg, error) { return presetsMsg{}, nil })
}

// run makes an action on disk a command and reads the list after it.
func (p *presetList) run(action func() (presetsMsg, error)) tea.Cmd {
	store := p.desk.Rig.Store().Presets
	p.asked++
	asked := p.asked
	return func() tea.Msg {
		m, err := action()
		m.asked, m.err = asked, err
		names, err := store.List()
		if m.err == nil {
			m.err = err
		}
		for _, name := range names {
			preset, err := store.Load(name)
			preset.Name = name
			m.items = append(m.items, presetItem{preset, err})
		}
		return m
	}
}

// Update answers keys and takes lists.
func (p *presetList) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case presetsMsg:
		p.arrived(m)
	case tea.KeyPressMsg:
		return p.key(m.String())
	}
	return nil
}

func (p *presetList) arrived(m presetsMsg) {
	if m.undo.do != nil {
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
		p.desk.refresh()
	}
	if m.asked != p.asked { // a newer list is on its way
		return
	}
	p.items = m.items
	p.list.resize(len(p.items))
	if m.want == "" {
		m.want = p.want
	}
	if i := p.find(m.want); i >= 0 {
		p.list.at = i
	}
	p.want = ""
	if i := p.find(p.desk.Settings.Preset); i >= 0 && p.items[i].wrong == nil {
		p.desk.Rig.PresetIs(p.items[i].Preset)
		p.desk.refresh()
	}
}

func unreadable(items []presetItem) error {
	for _, i := range items {
		if i.wrong != nil {
			return i.wrong
		}
	}
	return nil
}

func (p *presetList) find(name string) int {
	return slices.IndexFunc(p.items, func(i presetItem) bool { return i.Name == name })
}

func (p *presetList) key(k string) tea.Cmd {
	if k == "s" {
		return p.save()
	}
	if k == "u" {
		return p.takeBack()
	}
	if p.list.key(k) || len(p.items) == 0 {
		return nil
	}
	name := p.items[p.list.at].Name
	switch k {
	case "enter":
		return p.take()
	case "c":
		return p.desk.Ask("Copy "+name+" as:", name+" 2", p.named(func(to string) (presetsMsg, error) {
			return presetsMsg{said: "Copied to " + to, want: to}, p.desk.Rig.Store().Presets.Copy(name, to)
		}))
	case "r":
		return p.rename(name)
	case "e":
		return p.note()
	case "d":
		return p.remove(name)
	case "a":
		p.desk.Change(func(s *presets.Settings) { s.CompareA = name })
		p.desk.Say(name + " is A")
	case "b":
		p.desk.Change(func(s *presets.Settings) { s.CompareB = name })
		p.desk.Say(name + " is B")
	}
	return nil
}

// take puts the chosen preset into use.
func (p *presetList) take() tea.Cmd {
	if len(p.items) == 0 {
		return nil
	}
	item := p.items[p.list.at]
	if item.wrong != nil {
		p.desk.Fail(item.wrong)
		return nil
	}
	p.desk.UsePreset(item.Preset)
	p.desk.Say(item.Name + " is in use")
	return nil
}

// named checks a typed name before an action on it.
func (p *presetList) named(action func(name string) (presetsMsg, error)) func(string) (tea.Cmd, error) {
	return func(text string) (tea.Cmd, error) {
		if text == "" {
			return nil, errors.New("type a name")
		}
		if p.find(text) >= 0 {
			return nil, fmt.Errorf("%s exists: choose another name", text)
		}
		return p.run(func() (presetsMsg, error) { return action(text) }), nil
	}
}

// save writes the present chain; what was under that name can be brought back.
func (p *presetList) save() tea.Cmd {
	d, store := p.desk, p.desk.Rig.Store().Presets
	return d.Ask("Save the present chain as:", d.Settings.Preset, func(name string) (tea.Cmd, error) {
		if name == "" {
			return nil, errors.New("type a name")
		}
		kept := presets.Preset{Name: name, Chain: d.Settings.Chain}
		m := presetsMsg{said: "Saved " + name, want: name}
		if i := p.find(name); i >= 0 && p.items[i].wrong == nil {
			old := p.items[i].Preset
			kept.Note = old.Note
			m.said = "Saved over " + name + "; u brings the old one back"
			m.undo = undo{"the old " + name + " is back", func() error { return store.Save(old) }}
		}
		d.UsePreset(kept)
		return p.run(func() (presetsMsg, error) { return m, store.Save(kept) }), nil
	})
}

func (p *presetList) rename(name string) tea.Cmd {
	return p.desk.Ask("Rename "+name+" to:", name, p.named(func(to string) (presetsMsg, error) {
		return presetsMsg{said: name + " is now " + to, want: to, renamed: name}, p.desk.Rig.Store().Presets.Rename(name, to)
	}))
}

func (p *presetList) note() tea.Cmd {
	item := p.items[p.list.at]
	if item.wrong != nil {
		p.desk.Fail(item.wrong)
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
			undo: undo{name + " is back", func() error { return store.Undelete(name) }},
		}, store.Delete(name)
	})
}

func (p *presetList) takeBack() tea.Cmd {
	u := p.undo
	if u.do == nil {
		p.desk.Say("Nothing to undo")
		return nil
	}
	p.undo = undo{}
	return p.run(func() (presetsMsg, error) { return presetsMsg{said: u.what}, u.do() })
}
