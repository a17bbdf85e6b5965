package figure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The minus is U+2212 (Unicode, Mathematical Operators), silence U+2212 U+221E.
func TestNumbersForPeople(t *testing.T) {
	silence := math.Inf(-1)
	for _, c := range []struct{ want, got string }{
		{"\u221218.5", Text(-18.5, 1)},
		{"\u2212\u221e", Text(silence, 1)},
		{"–", Text(math.NaN(), 1)},
		{"0.0", Text(-0.04, 1)},
		{"\u22120.5", Text(-0.5, -1)},
		{"peak \u22123.0 dBFS", Sprintf("peak %.1f dBFS", -3.0)},
		{"\u221239 of mic-1.wav", Sprintf("%.0f of %s", Figure(-39), "mic-1.wav")},
		{"+2.5, \u22122.5, 0.0", Sprintf("%+.1f, %+.1f, %+.1f", 2.5, -2.5, -0.01)},
		{"[    \u2212\u221e][ \u22123.0][\u22123.0 ]", Sprintf("[%6.1f][%5.1f][%-5.1f]", silence, -3.0, -3.0)},
		{"\u221220 at 1000", Sprintf("%g at %d", -20.0, 1000)},
	} {
		require.Equal(t, c.want, c.got)
	}
}

func TestClock(t *testing.T) {
	require.Equal(t, "0:00.00", Clock(-1, 2))
	require.Equal(t, "2:03.4", Clock(123.41, 1))
	require.Equal(t, "1:00.0", Clock(59.99, 1))
	require.Equal(t, "1:02:03.45", Clock(3723.45, 2))
}
