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

func TestSeveralAtOnceEqualOneAfterTheOther(t *testing.T) {
	c, d, e := filter.HighPassQ(80, 1.3, 48000), filter.HighPassQ(80, 0.5, 48000), filter.LowPassQ(9000, 0.7, 48000)
	noise := signal.Noise(0.5, 1000, 1)
	one, two, three := make([]float64, len(noise)), make([]float64, len(noise)), make([]float64, len(noise))
	for i, x := range noise {
		one[i], two[i], three[i] = float64(x), float64(x), float64(x)
	}
	var plain, pairs, all [3]filter.State
	c.Run(plain[:1], one)
	d.Run(plain[1:2], one)
	filter.RunTwo(&c, &d, &pairs[0], &pairs[1], two)
	require.Equal(t, one, two)
	e.Run(plain[2:], one)
	filter.RunThree(&c, &d, &e, &all[0], &all[1], &all[2], three)
	require.Equal(t, one, three)
	require.Equal(t, plain, all)
	require.Equal(t, plain[:2], pairs[:2])
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
