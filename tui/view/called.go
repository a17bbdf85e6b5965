package view

import "rollready/tui/canvas"

// Called is a device's name in so many cells. What tells it from another of that
// name stays.
func Called(name, mark string, cells int) string {
	if mark == "" {
		return canvas.Cut(name, cells)
	}
	mark = " (" + canvas.Cut(mark, max(cells/2-3, 3)) + ")"
	return canvas.Cut(name, max(cells-canvas.Width(mark), 1)) + mark
}
