package desk

import (
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
