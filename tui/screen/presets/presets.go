// Package presets is the screen of kept chain settings.
package presets

import (
	"errors"
	"fmt"
	"slices"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/view"
	"rollready/tui/widget"
)

const Name = "Presets"

// presetList is the screen of kept chain settings.
type presetList struct {
	desk  *desk.Desk
	list  widget.List
	items []desk.PresetItem
	curve view.Curve
	undo  desk.Undo
	asked int    // number of the newest question to the disk
	want  string // name to be chosen when the list comes
}

// PresetsMsg is the list after an action on disk.
type PresetsMsg struct {
	asked int
	Items []desk.PresetItem
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
	return p
}

func (*presetList) Name() string { return Name }

func (*presetList) Keys() []desk.Key {
	return []desk.Key{
		{Press: "↑ ↓", Does: "choose a preset"},
		{Press: "enter", Does: "take it: the chain changes at once", Short: "take"},
		{Press: "s", Does: "save the present chain under a name", Short: "save"},
		{Press: "c", Does: "copy it", Short: "copy"},
		{Press: "r", Does: "rename it", Short: "rename"},
		{Press: "e", Does: "edit its note", Short: "note"},
		{Press: "d", Does: "delete it; u brings it back", Short: "delete"},
		{Press: "u", Does: "undo the last delete or save", Short: "undo"},
		{Press: "a b", Does: "mark as A or B for comparison", Short: "A/B"},
		{Press: "mouse", Does: "press to choose, press again to take"},
	}
}

// Open reads the list.
func (p *presetList) Open() tea.Cmd {
	p.want = p.desk.Settings.Preset
	return p.run(func() (PresetsMsg, error) { return PresetsMsg{}, nil })
}

// run makes an action on disk a command and reads the list after it.
func (p *presetList) run(action func() (PresetsMsg, error)) tea.Cmd {
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
			m.Items = append(m.Items, desk.PresetItem{Preset: preset, Wrong: err})
		}
		return m
	}
}

// Update answers keys and takes lists.
func (p *presetList) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case PresetsMsg:
		p.arrived(m)
	case tea.KeyPressMsg:
		return p.key(m.String())
	}
	return nil
}

func (p *presetList) arrived(m PresetsMsg) {
	if m.undo.Do != nil {
		p.undo = m.undo
	}
	switch {
	case m.err != nil:
		p.desk.Fail(m.err)
	case unreadable(m.Items) != nil:
		p.desk.Fail(unreadable(m.Items))
	case m.said != "":
		p.desk.Say(m.said)
	}
	if m.err == nil && m.renamed != "" {
		p.desk.Rig.PresetRenamed(m.renamed, m.want)
		p.desk.Refresh()
	}
	if m.asked != p.asked { // a newer list is on its way
		return
	}
	p.items = m.Items
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

func (p *presetList) key(k string) tea.Cmd {
	if k == "s" {
		return p.save()
	}
	if k == "u" {
		return p.takeBack()
	}
	if p.list.Key(k) || len(p.items) == 0 {
		return nil
	}
	name := p.items[p.list.At].Name
	switch k {
	case "enter":
		return p.take()
	case "c":
		return p.desk.Ask("Copy "+name+" as:", name+" 2", p.named(func(to string) (PresetsMsg, error) {
			return PresetsMsg{said: "Copied to " + to, want: to}, p.desk.Rig.Store().Presets.Copy(name, to)
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
	item := p.items[p.list.At]
	if item.Wrong != nil {
		p.desk.Fail(item.Wrong)
		return nil
	}
	p.desk.UsePreset(item.Preset)
	p.desk.Say(item.Name + " is in use")
	return nil
}

// named checks a typed name before an action on it.
func (p *presetList) named(action func(name string) (PresetsMsg, error)) func(string) (tea.Cmd, error) {
	return func(text string) (tea.Cmd, error) {
		if text == "" {
			return nil, errors.New("type a name")
		}
		if p.find(text) >= 0 {
			return nil, fmt.Errorf("%s exists: choose another name", text)
		}
		return p.run(func() (PresetsMsg, error) { return action(text) }), nil
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
		m := PresetsMsg{said: "Saved " + name, want: name}
		if i := p.find(name); i >= 0 && p.items[i].Wrong == nil {
			old := p.items[i].Preset
			kept.Note = old.Note
			m.said = "Saved over " + name + "; u brings the old one back"
			m.undo = desk.Undo{What: "the old " + name + " is back", Do: func() error { return store.Save(old) }}
		}
		d.UsePreset(kept)
		return p.run(func() (PresetsMsg, error) { return m, store.Save(kept) }), nil
	})
}

func (p *presetList) rename(name string) tea.Cmd {
	return p.desk.Ask("Rename "+name+" to:", name, p.named(func(to string) (PresetsMsg, error) {
		return PresetsMsg{said: name + " is now " + to, want: to, renamed: name}, p.desk.Rig.Store().Presets.Rename(name, to)
	}))
}

func (p *presetList) note() tea.Cmd {
	item := p.items[p.list.At]
	if item.Wrong != nil {
		p.desk.Fail(item.Wrong)
		return nil
	}
	return p.desk.Ask("Note:", item.Note, func(text string) (tea.Cmd, error) {
		item.Note = text
		return p.run(func() (PresetsMsg, error) {
			return PresetsMsg{said: "Noted", want: item.Name}, p.desk.Rig.Store().Presets.Save(item.Preset)
		}), nil
	})
}

func (p *presetList) remove(name string) tea.Cmd {
	store := p.desk.Rig.Store().Presets
	return p.run(func() (PresetsMsg, error) {
		return PresetsMsg{
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
	return p.run(func() (PresetsMsg, error) { return PresetsMsg{said: u.What}, u.Do() })
}
