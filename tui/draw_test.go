package tui

import (
	"fmt"
	"os"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"

	"rollready/capture/power"
)

// still is a program that draws one moment.
func still(opt Options, w, h int) *root {
	opt.clock = func() tea.Msg { return nil }
	r := newRoot(opt, termenv.TrueColor)
	r.desk.Battery = power.Battery{State: power.Draining, Percent: 82}
	r.Update(tea.WindowSizeMsg{Width: w, Height: h})
	r.Update(tickMsg{})
	return r
}

func TestDump(t *testing.T) {
	dir := os.Getenv("DUMP")
	if dir == "" {
		t.Skip()
	}
	for _, theme := range []string{"night", "day", "mono"} {
		for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}, {60, 18}} {
			for _, s := range []string{"Monitor", "Presets", "Setup", "Reminder"} {
				opt := fakeOptions(newFake())
				opt.Settings.Theme, opt.Settings.Screen = theme, s
				r := still(opt, size[0], size[1])
				os.WriteFile(fmt.Sprintf("%s/%s-%s-%d.ansi", dir, s, theme, size[0]), []byte(r.View()), 0o644)
			}
		}
	}
}
