package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"rollready/tui/canvas"
)

type setup struct{ desk *Desk }

func newSetup(d *Desk) Screen { return &setup{d} }

func (*setup) Name() string                      { return "Setup" }
func (*setup) Open() tea.Cmd                     { return nil }
func (*setup) Keys() []Key                       { return nil }
func (p *setup) Update(msg tea.Msg) tea.Cmd      { return nil }
func (p *setup) Draw(f *Frame, area canvas.Rect) {}
