package view

import (
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// DrawAdvice writes the one sentence that says what to do.
func DrawAdvice(f *widget.Frame, area canvas.Rect, d *desk.Desk) {
	style, edge := widget.PanelStyle(), theme.Rule
	switch d.Sentence.Severity {
	case verdict.Stop, verdict.Caution:
		style = SeverityStyle(f, d.Sentence.Severity)
	case verdict.Good:
		edge = theme.Target
	}
	widget.DrawStrip(f, area, d.Sentence.Text(), style, edge)
}

// SeverityStyle is the ground on which something so grave is written.
func SeverityStyle(f *widget.Frame, s verdict.Severity) canvas.Style {
	if s == verdict.Stop {
		return f.Chip(theme.Over)
	}
	return f.Chip(theme.Hot)
}
