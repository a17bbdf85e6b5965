package camera_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
)

func TestZones(t *testing.T) {
	s := camera.Scale{OffsetDB: 10, ClipDBFS: -2, TargetLowDBFS: -12, TargetHighDBFS: -6}
	for dBFS, want := range map[float64]camera.Zone{
		math.Inf(-1): camera.Low, -12.1: camera.Low, -12: camera.Target, -6: camera.Target, -5.9: camera.Hot, -3.1: camera.Hot, -3: camera.Over, 5: camera.Over,
	} {
		require.Equal(t, want, s.Zone(dBFS), "%g dBFS", dBFS)
	}
	require.Equal(t, -10.0, s.Reads(-20))
	require.Equal(t, 8.0, s.Headroom(-10))
	require.Equal(t, -9.0, s.Middle())
}

func TestValid(t *testing.T) {
	require.True(t, camera.Default.Valid())
	require.False(t, camera.Scale{}.Valid(), "no window")
	require.False(t, camera.Scale{OffsetDB: math.NaN(), TargetLowDBFS: -12, TargetHighDBFS: -6}.Valid())
	require.False(t, camera.Scale{ClipDBFS: math.Inf(-1), TargetLowDBFS: -12, TargetHighDBFS: -6}.Valid())
}

// An output at the ceiling leaves exactly the headroom asked for.
func TestCeilingLeavesItsHeadroom(t *testing.T) {
	for _, s := range []camera.Scale{camera.Default, {OffsetDB: -10.5, ClipDBFS: -0.5}, {OffsetDB: 6, ClipDBFS: -3}} {
		for _, under := range []float64{0, 1, 6} {
			require.InDelta(t, under, s.Headroom(s.Reads(s.Ceiling(under))), 1e-12)
		}
	}
}
