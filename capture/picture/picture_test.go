package picture

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whatever the levels, a picture is well-formed and has no odd figures in it.
func TestPicturesAreWellFormed(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, levels := range [][]float64{nil, {-10}, {-10, -inf, -20, nan, inf, 5, -300}, make([]float64, 500)} {
		c := New(`Level of <"boat & gull">`, 520, 150, 0, -72)
		c.Area("peak", levels, 0.1)
		c.Line("loud", levels, 0.1)
		c.Bars("band", levels)
		c.Scale(12)
		c.Mark("marker", 0.5, "<1>")
		c.Mark("marker", 2, "last")
		c.Hertz([]float64{31.5, 1000, 16000}, 1)
		c.Text(1, true, "end")
		text := string(c.HTML())
		require.NotContains(t, text, "NaN")
		require.NotContains(t, text, "Inf")
		decoder := xml.NewDecoder(strings.NewReader(text))
		for {
			if _, err := decoder.Token(); errors.Is(err, io.EOF) {
				break
			} else {
				require.NoError(t, err)
			}
		}
		require.Contains(t, text, "&lt;1&gt;")
		require.Contains(t, text, "16k")
	}
}

// Levels sit where the scale says: the top one at the top, the lowest at the
// ground.
func TestScale(t *testing.T) {
	c := New("x", 520, 150, 0, -72)
	for level, y := range map[float64]float64{0: 2, 3: 2, -36: 67, -72: 132, -100: 132, math.Inf(-1): 132, math.NaN(): 132} {
		require.InDelta(t, y, c.Y(level), 1e-9, "%g dB", level)
	}
	require.InDelta(t, 32, c.X(-1), 1e-9)
	require.InDelta(t, 520, c.X(1), 1e-9)
}
