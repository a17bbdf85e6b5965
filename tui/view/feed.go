package view

import (
	"slices"

	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

// feedChip marks the camera's meter where it can't be trusted, if there is room.
func feedChip(f *widget.Frame, at canvas.Rect, d *desk.Desk) (marked bool) {
	words := map[verdict.Code]string{verdict.LineUpChanged: " LINE-UP ", verdict.CameraMuted: " MUTED ", verdict.CameraLost: " LOST ", verdict.CameraNotFed: " NOT FED "}
	i := slices.IndexFunc(d.Conditions, func(c verdict.Finding) bool { return words[c.Code] != "" })
	if i < 0 {
		return false
	}
	c := d.Conditions[i]
	text := words[c.Code]
	if marked = at.W >= canvas.Width(text); marked {
		f.TextIn(at, text, SeverityStyle(f, c.Severity))
	}
	return marked
}
