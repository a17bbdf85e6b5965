package tui

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFiguresFromBeforeAChangeSaySo: loudness and true peak go on over a change
// of the chain; that is to be seen, and r begins them anew.
func TestFiguresFromBeforeAChangeSaySo(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		r := still(t, nil, size[0], size[1])
		plain := func() { t.Helper(); require.NotContains(t, look(r), "changed: r") }
		row := func() string {
			_, y := find(t, r, "LUFS")
			line := strings.Split(look(r), "\n")[y]
			return line[strings.Index(line, "loudness"):]
		}
		plain()
		before := row()
		press(r, "w", "enter", "b", "b", "b", "b")
		plain()
		press(r, "up")
		shows(t, r, "changed: r ")
		require.Equal(t, len(before), len(row()), "nothing gives way to it")
		press(r, "down")
		shows(t, r, "changed: r ") // set back, what was heard is still in them
		press(r, "r")
		plain()
		press(r, "h", "s")
		shows(t, r, "changed: r ")
		x, y := find(t, r, "changed: r")
		grab(r, x, y)
		plain()
		require.Equal(t, 2, r.opt.parts.Engine.(*fakeEngine).resets)
		metered := func(n int) {
			e := r.opt.parts.Engine.(*fakeEngine)
			e.mu.Lock()
			e.n = n
			e.mu.Unlock()
			frame(r)
		}
		metered(30)
		press(r, "g", "up")
		shows(t, r, "changed: r ")
		metered(0) // another input, from its start
		plain()
	}
}
