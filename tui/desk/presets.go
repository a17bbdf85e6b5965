package desk

import (
	tea "charm.land/bubbletea/v2"

	"rollready/presets"
)

// PresetItem is one preset, or the reason why it can't be read.
type PresetItem struct {
	presets.Preset
	Wrong error
}

// Undo brings back what was deleted or written over.
type Undo struct {
	What string
	Do   func() error
}

// Over saves under a name that was typed; where one is written over it asks
// first. The error says what is wrong with the name.
func (d *Desk) Over(name string, exists bool, save func() tea.Cmd) (tea.Cmd, error) {
	if err := presets.CheckName(name); err != nil {
		return nil, err
	}
	if exists {
		return d.Confirm("enter", "There is a preset "+name+".", "writes over it", save), nil
	}
	return save(), nil
}

// ReadPresets reads all presets. It waits for the disk.
func (d *Desk) ReadPresets() (items []PresetItem, err error) {
	store := d.Rig.Store().Presets
	names, err := store.List()
	for _, name := range names {
		p, wrong := store.Load(name)
		p.Name = name
		items = append(items, PresetItem{p, wrong})
	}
	return items, err
}
