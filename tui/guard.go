package tui

import (
	tea "charm.land/bubbletea/v2"

	"rollready/capture/rescue"
)

// panicMsg is a mistake of our own, with the place it happened at.
type panicMsg struct {
	cause any
	place string
}

// guard makes a command's panic a message, so that the terminal is left clean
// before anything is said.
func (r *root) guard(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() (msg tea.Msg) {
		defer func() {
			if cause := recover(); cause != nil {
				msg = panicMsg{cause, rescue.Place()}
			}
		}()
		switch m := cmd().(type) {
		case tea.BatchMsg:
			for i, c := range m {
				m[i] = r.guard(c)
			}
			return m
		default:
			return m
		}
	}
}
