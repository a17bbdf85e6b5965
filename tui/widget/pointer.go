package widget

import (
	tea "charm.land/bubbletea/v2"
)

// Pointer routes the mouse. The widget that was pressed keeps it until the
// release; a release that got lost ends at the next press, or when drop is
// called: on resize, on losing the focus, on resume.
type Pointer struct{ held Widget }

// Mouse brings a report to whom it belongs.
func (p *Pointer) Mouse(m tea.MouseMsg, f *Frame) tea.Cmd {
	x, y := m.Mouse().X, m.Mouse().Y
	switch m := m.(type) {
	case tea.MouseWheelMsg:
		if w := f.Under(x, y); w != nil {
			w.Wheel(Wheel(m))
		}
	case tea.MouseClickMsg:
		if p.held = nil; m.Button == tea.MouseLeft {
			p.held = f.Under(x, y)
		}
		if p.held != nil {
			return p.held.Press(x, y)
		}
	case tea.MouseMotionMsg:
		if p.held != nil {
			p.held.Drag(x, y)
		}
	case tea.MouseReleaseMsg:
		if p.held != nil {
			p.held.Drag(x, y)
			p.Drop()
		}
	}
	return nil
}

// Wheel is +1 up, −1 down.
func Wheel(m tea.MouseWheelMsg) int {
	if m.Button == tea.MouseWheelUp {
		return 1
	}
	return -1
}

// Drop lets go of what is held.
func (p *Pointer) Drop() { p.held = nil }
