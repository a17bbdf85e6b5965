package tui

import (
	"runtime/debug"

	tea "github.com/charmbracelet/bubbletea"
)

// panicMsg is a mistake of our own, with the place it happened at.
type panicMsg struct {
	cause any
	stack []byte
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
				msg = panicMsg{cause, debug.Stack()}
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
