package presets

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
)

func TestVolumeIsKept(t *testing.T) {
	for _, v := range []Volume{{}, VolumeOf(0), VolumeOf(-6.02), VolumeOf(3), {true, -6, -20}, {true, -6, math.Inf(-1)}} {
		raw, err := encodeCamera(Camera{Scale: camera.Default, LinedUpVolume: v})
		require.NoError(t, err)
		got, err := decodeCamera(raw)
		require.NoError(t, err, "%s", raw)
		require.Equal(t, v, got.LinedUpVolume, "%s", raw)
		require.Equal(t, v.Known, strings.Contains(string(raw), "lined_up_volume_db"), "%s", raw)
		require.Equal(t, v.Uneven(), strings.Contains(string(raw), "lined_up_quietest_channel_db"), "%s", raw)
	}
}

// A profile from before volumes were kept reads as unknown; what is no
// volume is refused.
func TestVolumeInOtherProfiles(t *testing.T) {
	const old = "version = 1\noffset_db = 6.0\nlined_up_with = 'line out'\nmic_level = ''\ncable = ''\nreminders = []\nskip_card = false\n"
	c, err := decodeCamera([]byte(old))
	require.NoError(t, err)
	require.Equal(t, "line out", c.LinedUpWith.Name)
	require.Equal(t, Volume{}, c.LinedUpVolume)
	for _, wrong := range []string{"nan", "inf", "-inf", "9999.0"} {
		_, err = decodeCamera([]byte(old + "lined_up_volume_db = " + wrong + "\n"))
		require.ErrorContains(t, err, "lined_up_volume_db", wrong)
	}
	_, err = decodeCamera([]byte(old + "lined_up_volume_db = -6.0\nlined_up_quietest_channel_db = -3.0\n"))
	require.ErrorContains(t, err, "lined_up_volume_db")
}

func TestVolumesDiffer(t *testing.T) {
	silent := math.Inf(-1)
	for _, c := range []struct {
		a, b    Volume
		differs bool
	}{
		{Volume{}, VolumeOf(-6), false},
		{VolumeOf(-6), VolumeOf(-6.09), false},
		{VolumeOf(-6), VolumeOf(-6.11), true},
		{VolumeOf(-6), Volume{true, -6, -7}, true},
		{Volume{true, -6, silent}, Volume{true, -6, silent}, false},
		{Volume{true, -6, silent}, Volume{true, -6, -40}, true},
	} {
		require.Equal(t, c.differs, c.a.Differs(c.b), "%v %v", c.a, c.b)
		require.Equal(t, c.differs, c.b.Differs(c.a), "%v %v", c.b, c.a)
	}
	require.Equal(t, "unknown", Volume{}.String())
	require.Equal(t, "0.0 dB", VolumeOf(math.Copysign(0, -1)).String())
	require.Equal(t, "−6.0 to −20.0 dB", Volume{true, -6, -20}.String())
}
