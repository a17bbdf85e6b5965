package presets_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
	"rollready/dsp/lineup"
	"rollready/presets"
)

func linedUp() presets.Camera {
	missing := lineup.Figure(math.NaN())
	return presets.Camera{Name: "b camera", Scale: camera.Default, LinedUp: time.Date(2024, 5, 1, 12, 0, 0, 0, time.UTC),
		LinedUpWith: presets.Output{Name: "line out", Key: "id:wasapi:{0.0}"}, LinedUpPreset: "indoor voice",
		LineUp: &lineup.Result{
			OffsetDB: -6.25, ClipDBFS: missing, Clip: lineup.Clip{Kind: lineup.NoClip, OnePercentDBFS: missing, CompressionDBFS: missing},
			AutomaticLevel: lineup.Automatic{AttackMS: missing, ReleaseMS: missing},
			Limiter:        lineup.Automatic{On: true, AttackMS: 5, ReleaseMS: 120},
			NoiseDBFS:      lineup.Figure(math.Inf(-1)), NoiseDBA: lineup.Figure(math.Inf(-1)), UsableDB: missing,
			Polarity: lineup.Normal, Wiring: lineup.Straight,
			Channels: []lineup.Channel{{Carries: lineup.Left, OffsetDB: -6.25, Polarity: lineup.Normal}, {Carries: lineup.Nothing, OffsetDB: missing, Polarity: lineup.Normal}},
			Response: []lineup.Point{{Hz: 31.5, LevelDB: -3.2}, {Hz: 1000, LevelDB: 0}},
			LowCut:   lineup.Cut{Hz: 80, Slope: 12}, Target: lineup.Window{LowDBFS: -12, HighDBFS: -6},
			RateHz: 48000, ClockPPM: 12.5, DistortionPercent: 0.02, Advice: []string{"leave it: it is right", "second"},
		}}
}

func TestLineUpIsKept(t *testing.T) {
	dir := t.TempDir()
	store, err := presets.Open(dir)
	require.NoError(t, err)
	want := linedUp()
	require.NoError(t, store.Cameras.Save(want))
	got, err := store.Cameras.Load("b camera")
	require.NoError(t, err)
	require.Equal(t, want.LinedUpWith, got.LinedUpWith)
	require.Equal(t, want.LinedUpPreset, got.LinedUpPreset)
	require.False(t, got.LineUp.ClipDBFS.Known())
	require.True(t, math.IsInf(float64(got.LineUp.NoiseDBFS), -1))
	require.Equal(t, want.LineUp.Response, got.LineUp.Response)
	require.Equal(t, want.LineUp.Advice, got.LineUp.Advice)
	require.Equal(t, want.LineUp.Limiter, got.LineUp.Limiter)
	require.Equal(t, want.LineUp.Channels[0], got.LineUp.Channels[0])
	require.NoError(t, store.Cameras.Copy("b camera", "c camera"), "it reads back as written")
}

func TestImpossibleLineUpIsRefused(t *testing.T) {
	for name, spoil := range map[string]func(*lineup.Result){
		"offset":   func(r *lineup.Result) { r.OffsetDB = lineup.Figure(math.NaN()) },
		"response": func(r *lineup.Result) { r.Response[0].LevelDB = math.Inf(1) },
		"many":     func(r *lineup.Result) { r.Response = make([]lineup.Point, 5000) },
		"word":     func(r *lineup.Result) { r.Wiring = "\x1b[2J" },
		"advice":   func(r *lineup.Result) { r.Advice[0] = "a\nb" },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			store, err := presets.Open(dir)
			require.NoError(t, err)
			c := linedUp()
			spoil(c.LineUp)
			require.Error(t, store.Cameras.Save(c))
			_, err = os.Stat(filepath.Join(dir, "cameras", "b camera.toml"))
			require.ErrorIs(t, err, os.ErrNotExist)
		})
	}
}
