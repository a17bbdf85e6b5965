package survey

import (
	"context"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
	"rollready/dsp/filter"
	"rollready/dsp/resample"
)

// scene is a minute and a half of talk.
func scene(t *testing.T) []float64 {
	var x []float64
	for len(x) < 90*rate {
		for _, s := range speakers {
			x = append(x, speak(t, s, withPauses)...)
		}
	}
	return x[:90*rate]
}

// camera is the same talk as another recorder kept it: begun later, at another
// rate by a fast clock, softer, with less treble, more noise and hum.
func camera(t *testing.T, x []float64, laterS, ppm, noiseDBFS, humDBFS float64) string {
	t.Helper()
	x = append([]float64(nil), x[int(laterS*rate):]...)
	for _, section := range filter.LowPass(filter.Cut{Hz: 5000, Slope: 24}, rate) {
		state := filter.State{}
		for i := range x {
			x[i] = state.Step(&section, x[i])
		}
	}
	x = add(add(scale(x, -8), white(noiseDBFS, len(x), 5)), mains(50, humDBFS, len(x)))
	r := resample.New(rate, 44100, 1)
	r.SetPPM(-ppm) // a fast clock takes more samples out of the same time
	in, out := make([]float32, len(x)), make([]float32, len(x))
	for i, v := range x {
		in[i] = float32(v)
	}
	made, _ := r.Process(out, in)
	path := filepath.Join(t.TempDir(), "camera.wav")
	w, err := wavfile.Create(path, capture.Format{RateHz: 44100, Channels: 1}, wavfile.PCM16)
	require.NoError(t, err)
	require.NoError(t, w.Write(out[:made]))
	require.NoError(t, w.Close())
	return path
}

func TestComparisonOfLaptopAndCamera(t *testing.T) { laptopAndCamera(t, 25, false) }

// laptopAndCamera compares so many seconds, of 90; both ways if asked.
func laptopAndCamera(t *testing.T, seconds int, bothWays bool) {
	x := scene(t)[:seconds*rate]
	laptop := save(t, add(x, white(-72, len(x), 1)), add(x, white(-72, len(x), 2)))
	c, err := Compare(context.Background(), laptop, camera(t, x, 3.25, 40, -62, -50), nil)
	require.NoError(t, err)
	require.InDelta(t, 3.25, float64(c.LaterS), 0.001)
	if seconds > 60 { // less is too short to compare clocks
		require.InDelta(t, 40, float64(c.DriftPPM), 3)
	}
	require.InDelta(t, float64(seconds)-3.25, float64(c.OverlapS), 0.01)
	require.InDelta(t, -8, float64(c.GainDB), 0.7, "two channels sound no louder to one than one")
	require.False(t, c.Inverted)
	require.Equal(t, sideA, c.Cleaner)
	var codes []string
	for _, r := range c.Reasons {
		require.Equal(t, sideA, r.Cleaner, r.Message)
		codes = append(codes, r.Code)
	}
	require.Equal(t, []string{"noise", "hum", "bandwidth"}, codes)
	require.Greater(t, float64(c.Sides[0].HighHz), 7000.0)
	require.Less(t, float64(c.Sides[1].HighHz), 7000.0)
	if !bothWays {
		return
	}
	back, err := Compare(context.Background(), camera(t, x, 3.25, 40, -62, -50), laptop, nil)
	require.NoError(t, err)
	require.InDelta(t, -3.25, float64(back.LaterS), 0.002)
	require.InDelta(t, -40, float64(back.DriftPPM), 3)
	require.Equal(t, sideB, back.Cleaner)
}

func TestComparisonNamesOverloadsFirst(t *testing.T) {
	x := scene(t)[:20*rate]
	good := save(t, add(x, white(-60, len(x), 1)))
	hot := save(t, inverted(clip(add(x, white(-75, len(x), 1)), 20, 1)))
	c, err := Compare(context.Background(), good, hot, nil)
	require.NoError(t, err)
	require.True(t, c.Inverted)
	require.InDelta(t, 0, float64(c.LaterS), 0.0005)
	require.Equal(t, sideA, c.Cleaner)
	require.Equal(t, "overload", c.Reasons[0].Code)
	require.Regexp(t, `^A has no overloads, B has \d+\.$`, c.Reasons[0].Message)
	c.Measured[1].ClippedRuns[0], c.Measured[1].FlatTops[0] = 2646, 6
	c.judge()
	require.Equal(t, "A has no overloads, B has 2646.", c.Reasons[0].Message, "as many as a report says")
	require.True(t, math.IsNaN(float64(c.DriftPPM)))

	same, err := Compare(context.Background(), good, good, nil)
	require.NoError(t, err)
	require.Equal(t, equal, same.Cleaner)
	require.Empty(t, same.Reasons)
}

func TestWhatHasNothingInCommonIsRefused(t *testing.T) {
	x := scene(t)
	_, err := Compare(context.Background(), save(t, x[:20*rate]), save(t, x[26*rate:46*rate]), nil)
	require.ErrorContains(t, err, "not two recordings of the same take")
	_, err = Compare(context.Background(), save(t, x[:20*rate]), filepath.Join(t.TempDir(), "absent.wav"), nil)
	require.ErrorContains(t, err, "absent.wav")
}
