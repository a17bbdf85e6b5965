package tui

import tea "github.com/charmbracelet/bubbletea"

// pointer routes the mouse. The widget that was pressed keeps it until the
// release; a release that got lost ends at the next press, or when drop is
// called: on resize, on losing the focus, on resume.
type pointer struct{ held Widget }

func (p *pointer) mouse(m tea.MouseMsg, f *Frame) tea.Cmd {
	switch {
	case m.Button == tea.MouseButtonWheelUp, m.Button == tea.MouseButtonWheelDown:
		if w := f.at(m.X, m.Y); w != nil {
			w.Wheel(wheel(m))
		}
	case m.Action == tea.MouseActionPress && m.Button == tea.MouseButtonLeft:
		if p.held = f.at(m.X, m.Y); p.held != nil {
			return p.held.Press(m.X, m.Y)
		}
	case m.Action == tea.MouseActionMotion && p.held != nil:
		p.held.Drag(m.X, m.Y)
	case m.Action == tea.MouseActionRelease && p.held != nil:
		p.held.Drag(m.X, m.Y)
		p.drop()
	}
	return nil
}

func wheel(m tea.MouseMsg) int {
	if m.Button == tea.MouseButtonWheelUp {
		return 1
	}
	return -1
}

func (p *pointer) drop() { p.held = nil }
