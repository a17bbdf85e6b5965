package canvas

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
)

func TestTextIsCutToItsPlace(t *testing.T) {
	for text, want := range map[string]string{
		"abc":             "abc ",
		"abcde":           "abc…",
		"麦克风":             "麦… ",
		"a\x1b[31m\u0301": "a[3…",
		"":                "    ",
	} {
		var c Canvas
		c.Resize(6, 1)
		c.TextIn(Rect{1, 0, 4, 1}, text, Style{})
		require.Equal(t, " "+want+" ", c.String(), "%q", text)
	}
}

func TestNothingIsDrawnOutside(t *testing.T) {
	var c Canvas
	c.Resize(3, 2)
	c.Fill(Rect{-5, -5, 40, 40}, 'x', Style{})
	c.Text(-2, 0, "麦麦麦麦麦麦", Style{})
	c.Text(0, 9, "far", Style{})
	c.Tint(Rect{-1, -1, 9, 9}, 0)
	for _, line := range strings.Split(c.String(), "\n") {
		require.Equal(t, 3, ansi.StringWidth(line), "%q", line)
	}
}

// TestHalfOfAWideRune: drawing over one half leaves no other half.
func TestHalfOfAWideRune(t *testing.T) {
	for x := range 4 {
		var c Canvas
		c.Resize(4, 1)
		c.Text(0, 0, "麦麦", Style{})
		c.Set(x, 0, 'x', Style{})
		require.Equal(t, 4, ansi.StringWidth(c.String()), "%q", c.String())
	}
}
