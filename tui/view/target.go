package view

import (
	"errors"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/tui/desk"
	"rollready/tui/format"
)

// AskTarget asks for the camera's target window.
func AskTarget(d *desk.Desk) tea.Cmd {
	s := d.Camera.Scale
	text := format.Figure(s.TargetLowDBFS) + " " + format.Figure(s.TargetHighDBFS)
	return d.Ask("Target window in dBFS at the camera, low and high:", text, func(text string) (tea.Cmd, error) {
		c := d.Camera
		parts := strings.Fields(strings.NewReplacer("…", " ", ";", " ", " to ", " ").Replace(text))
		if len(parts) != 2 {
			return nil, errors.New("type two figures, like −12 −6")
		}
		lo, ok1 := format.ParseNumber(parts[0])
		hi, ok2 := format.ParseNumber(parts[1])
		if !ok1 || !ok2 {
			return nil, errors.New("type two figures, like −12 −6")
		}
		if err := rig.SetTarget(&c, lo, hi); err != nil {
			return nil, err
		}
		return d.ChangeCamera(c), nil
	})
}
