package filter_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/filter"
	"rollready/dsp/internal/signal"
)

func TestRunEqualsStep(t *testing.T) {
	c := filter.HighPassQ(80, 1.3, 48000)
	for channels := 1; channels <= 2; channels++ {
		noise := signal.Noise(0.5, 1000*channels, 1)
		frames := make([]float64, len(noise))
		for i, x := range noise {
			frames[i] = float64(x)
		}
		c.Run(make([]filter.State, channels), frames)
		plain := make([]filter.State, channels)
		for i, x := range noise {
			require.InDelta(t, plain[i%channels].Step(&c, float64(x)), frames[i], 1e-15)
		}
	}
}

func TestTwoAtOnceEqualOneAfterTheOther(t *testing.T) {
	c, d := filter.HighPassQ(80, 1.3, 48000), filter.LowPassQ(9000, 0.7, 48000)
	noise := signal.Noise(0.5, 1000, 1)
	one, both := make([]float64, len(noise)), make([]float64, len(noise))
	for i, x := range noise {
		one[i], both[i] = float64(x), float64(x)
	}
	var s, u [1]filter.State
	c.Run(s[:], one)
	d.Run(u[:], one)
	var v, w filter.State
	filter.RunTwo(&c, &d, &v, &w, both)
	require.Equal(t, one, both)
	require.Equal(t, [2]filter.State{s[0], u[0]}, [2]filter.State{v, w})
}

func TestStatesReachExactSilence(t *testing.T) {
	c := filter.HighPassQ(80, 0.7, 48000)
	states := make([]filter.State, 1)
	c.Run(states, []float64{1})
	for range 600 {
		c.Run(states, make([]float64, 480))
	}
	require.Equal(t, filter.State{}, states[0])
}
