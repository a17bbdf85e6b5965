package view

import (
	"slices"

	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

// volumeChip marks the camera's meter where it can't be trusted.
func volumeChip(f *widget.Frame, at canvas.Rect, d *desk.Desk) {
	words := map[verdict.Code]string{verdict.LineUpChanged: " LINE-UP ", verdict.CameraMuted: " MUTED ", verdict.CameraLost: " LOST ", verdict.CameraNotFed: " NOT FED "}
	i := slices.IndexFunc(d.Conditions, func(c verdict.Finding) bool { return words[c.Code] != "" })
	if i < 0 {
		return
	}
	c := d.Conditions[i]
	if text := words[c.Code]; at.W >= canvas.Width(text) {
		f.TextIn(at, text, SeverityStyle(f, c.Severity))
	}
}
