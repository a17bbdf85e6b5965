package widget

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// Picked is a word that is chosen among its neighbours.
func (f *Frame) Picked() canvas.Style {
	if f.Mono {
		return canvas.Style{Attr: canvas.Bold | canvas.Reverse}
	}
	return canvas.Style{FG: theme.Ground, BG: theme.Choice, Attr: canvas.Bold}
}

// Word writes a word that can be pressed, and gives the x after it.
func (f *Frame) Word(x, y int, text string, on bool, press func() tea.Cmd) int {
	style := f.Style(theme.Ink).On(theme.Panel)
	if on {
		style = f.Picked()
	}
	text = " " + text + " "
	f.Hit(canvas.Rect{X: x, Y: y, W: canvas.Width(text), H: 1}, Click(press))
	return f.Text(x, y, text, style) + 1
}

// Doing makes something that needs no command a press.
func Doing(do func()) func() tea.Cmd { return func() tea.Cmd { do(); return nil } }

// FramesPerSecond is how often the screen looks for what is new.
const FramesPerSecond = 30

// Frame is what a screen draws into.
type Frame struct {
	*canvas.Canvas
	*theme.Theme
	Hits []hit
}

type hit struct {
	area canvas.Rect
	on   Widget
}

// Widget is a place that answers to the mouse. After a press the widget gets
// all motion until the release, also from outside its area.
type Widget interface {
	Press(x, y int) tea.Cmd
	Drag(x, y int)
	Wheel(up int)
}

// Click is a widget that does one thing when pressed.
type Click func() tea.Cmd

// Press does it.
func (c Click) Press(int, int) tea.Cmd { return c() }

// Drag does nothing.
func (Click) Drag(int, int) {}

// Wheel does nothing.
func (Click) Wheel(int) {}

// Hit makes an area answer to the mouse until the next frame. Later ones lie
// on top.
func (f *Frame) Hit(area canvas.Rect, on Widget) { f.Hits = append(f.Hits, hit{area, on}) }

// Under gives what answers to the mouse at a cell, nil if nothing does.
func (f *Frame) Under(x, y int) Widget {
	for i := len(f.Hits) - 1; i >= 0; i-- {
		if f.Hits[i].area.Contains(x, y) {
			return f.Hits[i].on
		}
	}
	return nil
}
