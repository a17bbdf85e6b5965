package level_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/level"
)

// held counts the hops for which a single peak stays.
func held(seconds float64) int {
	h := level.NewHold(seconds)
	h.Push(-60)
	h.Push(-6)
	hops := 0
	for ; h.DBFS() == -6 && hops < 100000; hops++ {
		h.Push(-60)
	}
	return hops
}

func TestHoldLastsItsTime(t *testing.T) {
	for _, seconds := range []float64{0.2, 1, 2, 5, 30} {
		require.GreaterOrEqual(t, held(seconds), int(seconds*100), "%g s", seconds)
		require.LessOrEqual(t, float64(held(seconds)), seconds*100*17/16+17, "%g s", seconds)
	}
	require.Equal(t, 1, held(0), "no hold")
	require.Equal(t, 100000, held(math.Inf(1)), "until cleared")
}

func TestHoldFallsToTheHighestStillWithinItsTime(t *testing.T) {
	h := level.NewHold(1)
	h.Push(-6)
	for range 90 {
		h.Push(-60)
	}
	h.Push(-20)
	for range 40 {
		h.Push(-60)
	}
	require.Equal(t, -20.0, h.DBFS())
}

func TestHoldTimeChangesKeepWhatIsHeld(t *testing.T) {
	h := level.NewHold(2)
	h.Push(-6)
	h.SetSeconds(math.Inf(1))
	h.Push(-60)
	require.Equal(t, -6.0, h.DBFS())
	h.Clear()
	require.True(t, math.IsInf(h.DBFS(), -1))
	h.Push(-60)
	h.SetSeconds(0)
	h.Push(-50)
	require.Equal(t, -50.0, h.DBFS())
}
