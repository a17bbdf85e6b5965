package preroll

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/bands"
	"rollready/dsp/internal/scene"
)

// A sine on a band's midband frequency reads its own level there (IEC 61260-1:
// no attenuation at the midband, class 1 within 0.3 dB), and the mean of a
// channel with silence is 6.02 dB less.
func TestQuietBandsReadASine(t *testing.T) {
	const band, dbfs = 10, -50.0
	x := scene.Sine(bands.At(band).MidHz, dbfs, 0, 5, 48000)
	g := NewGuide(48000, 2)
	require.Nil(t, g.QuietBands())
	scene.InBlocks(scene.Interleave(x, make([]float64, len(x))), 2, g.Process)
	require.Equal(t, Speak, g.Progress().Step)
	q := g.QuietBands()
	require.Len(t, q, 3)
	require.InDelta(t, dbfs, q[0][band], 0.3)
	require.True(t, math.IsInf(q[1][band], -1))
	require.InDelta(t, dbfs-6.02, q[2][band], 0.3)
	require.Less(t, q[0][band+6], dbfs-50)
}

// White noise has the same power in every hertz: its band levels add up to its
// own level but for what lies outside the bands.
func TestQuietBandsAddUp(t *testing.T) {
	g := NewGuide(48000, 1)
	scene.InBlocks(scene.Interleave(scene.Noise(-60, 5, 48000, 3)), 1, g.Process)
	sum := 0.0
	for _, v := range g.QuietBands()[0] {
		sum += math.Pow(10, v/10)
	}
	inside := 10 * math.Log10((22387.0-14.1)/24000)
	require.InDelta(t, -60+inside, 10*math.Log10(sum), 0.2)
}
