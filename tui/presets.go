package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"rollready/tui/canvas"
)

type presetList struct{ desk *Desk }

func newPresets(d *Desk) Screen { return &presetList{d} }

func (*presetList) Name() string                      { return "Presets" }
func (*presetList) Open() tea.Cmd                     { return nil }
func (*presetList) Keys() []Key                       { return nil }
func (p *presetList) Update(msg tea.Msg) tea.Cmd      { return nil }
func (p *presetList) Draw(f *Frame, area canvas.Rect) {}
