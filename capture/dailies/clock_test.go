package dailies

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/match"
)

// filmed is a clip of a camera that lies around one moment.
func filmed(path string, seconds, ppm, errorPPM float64) Clip {
	c := Clip{Recording: Recording{Path: path, RateHz: 48000, Channels: 2}}
	c.Parts = []Part{{Fit: match.Fit{OffsetS: 10, PPM: ppm, ErrorPPM: errorPPM, ToS: seconds, Agreeing: 9, PivotsS: []float64{seconds / 4}}}}
	return c
}

// A short clip takes over what the camera's long ones say of its clock, and
// lies as before where its own places lay; long ones, other cameras, and a
// folder of two cameras stay as they are.
func TestAShortClipLearnsItsCamerasClock(t *testing.T) {
	clips := []Clip{filmed("a/1", 300, -41.2, 0.05), filmed("a/2", 200, -40.9, 0.1), filmed("a/3", 20, -33, 6), filmed("a/4", 20, 70, 6),
		filmed("b/1", 20, -33, 6),
		filmed("c/1", 300, 50, 0.1), filmed("c/2", 300, -50, 0.1), filmed("c/3", 20, 45, 6)}
	before := append([]Clip(nil), clips...)
	for i := range before {
		before[i].Parts = append([]Part(nil), before[i].Parts...)
	}
	learnClocks(clips)
	short := clips[2].Parts[0].Fit
	require.InDelta(t, -41, short.PPM, 0.5)
	require.Less(t, short.ErrorPPM, 1.5)
	require.InDelta(t, before[2].Parts[0].Fit.TakeS(5), short.TakeS(5), 1e-9)
	for _, same := range []int{0, 1, 3, 4, 5, 6, 7} {
		require.Equal(t, before[same], clips[same], "%d", same)
	}
}
