package filter_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/filter"
)

func TestParseCut(t *testing.T) {
	for text, want := range map[string]filter.Cut{
		"off": {}, "80/24": {Hz: 80, Slope: 24}, "31.5/6": {Hz: 31.5, Slope: 6}, "12000/12": {Hz: 12000, Slope: 12}, "80/0": {},
	} {
		got, err := filter.ParseCut(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
}

func TestParseCutSaysWhatIsAllowed(t *testing.T) {
	for text, word := range map[string]string{
		"": "80/24", "80": "80/24", "/": "80/24", "80/24/6": "80/24", "eighty/24": "80/24", "80/x": "80/24", "80 /24": "80/24",
		"9/24": "10 to 20000", "20001/6": "10 to 20000", "NaN/12": "10 to 20000", "inf/12": "10 to 20000", "-80/12": "10 to 20000",
		"80/5": "6, 12, 18, 24", "80/30": "6, 12, 18, 24", "80/-6": "6, 12, 18, 24",
	} {
		_, err := filter.ParseCut(text)
		require.ErrorContains(t, err, word, text)
		require.NotContains(t, err.Error(), "\n")
	}
}

func TestOffCutDesignsNothing(t *testing.T) {
	require.Nil(t, filter.HighPass(filter.Cut{}, 48000))
	require.Nil(t, filter.LowPass(filter.Cut{Hz: 80}, 48000))
}

func FuzzParseCut(f *testing.F) {
	for _, seed := range []string{"off", "80/24", "1e3/6", "0x50p0/12", "/", "NaN/6", "80/0"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := filter.ParseCut(text)
		if err != nil {
			return
		}
		again, err := filter.ParseCut(c.String())
		require.NoError(t, err)
		require.Equal(t, c, again)
		for _, s := range append(filter.HighPass(c, 48000), filter.LowPass(c, 44100)...) {
			require.False(t, math.IsNaN(s.B0+s.B1+s.B2+s.A1+s.A2))
		}
	})
}
