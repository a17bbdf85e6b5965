package canvas

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Where the terminal has ASCII alone, nothing else is sent, every cell stays in
// its place, and bars keep their length.
func TestASCIITerminalsGetNothingElse(t *testing.T) {
	var c Canvas
	c.Resize(24, 2)
	c.Text(0, 0, "Peak −18.5 ███▌▁ → ∞ 麦.", Style{})
	c.Text(0, 1, "▸ Gain ━━◆── é", Style{})
	g := newGlass(24, 2)
	p := NewPainter(g)
	p.ASCII = true
	p.Begin("")
	p.Show(&c, &Palette{})
	p.Paint()
	text := strings.Join(g.cells, "")
	require.Equal(t, "Peak -18.5 ###=. > ~ ? .> Gain ==*-- ?          ", text)
	for r := range map[rune]bool{'█': true, '⡇': true, '∞': true, 'ü': true, 'a': true} {
		require.Less(t, ASCII(r), rune(0x80))
	}
}
