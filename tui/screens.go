package tui

import (
	"rollready/tui/desk"
	"rollready/tui/screen/check"
	"rollready/tui/screen/compare"
	"rollready/tui/screen/lineup"
	"rollready/tui/screen/monitor"
	"rollready/tui/screen/presets"
	"rollready/tui/screen/reminder"
	"rollready/tui/screen/setup"
	"rollready/tui/screen/takes"
)

// screens lists the pages in the order of their tabs.
func screens(d *desk.Desk) []desk.Screen {
	return []desk.Screen{
		monitor.New(d),
		presets.New(d),
		check.New(d),
		compare.New(d),
		lineup.New(d),
		takes.New(d),
		setup.New(d),
		reminder.New(d),
	}
}
