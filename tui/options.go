package tui

import (
	"rollready/capture/rig"
	"rollready/tui/desk"
	"rollready/tui/terminal"
)

// Options is what the program needs.
type Options struct {
	Rig      *rig.Rig // what runs; its calls that may wait are made in commands
	Terminal *terminal.Terminal
	Go       func(f func()) // starts goroutines whose panics end the program in order
	Notices  []string       // what the user must know at the start
	NoColor  bool           // mono, whatever the settings say
	Shared   desk.Shared    // with viewers over SSH; nil: it is not

	parts *rig.Parts // in tests: what the rig is made of
}
