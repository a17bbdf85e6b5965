package lowend

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/scene"
	"rollready/dsp/lowrate"
)

func watch(x []float64, rateHz int) *Meter {
	m := New(lowrate.Rate(rateHz))
	d := lowrate.New(rateHz, 1, func(_ int, x []float64) { m.Process(x) })
	scene.InBlocks(scene.Interleave(x), 1, d.Process)
	return m
}

// rumble is noise under 80 Hz, wind the same in gusts.
func rumble(levelDBFS, seconds, gustsDB float64, seed uint64) []float64 {
	x := scene.Noise(levelDBFS+db.FromPower(24000/80), seconds, 48000, seed)
	for _, section := range filter.LowPass(filter.Cut{Hz: 80, Slope: 24}, 48000) {
		var s filter.State
		for i, v := range x {
			x[i] = s.Step(&section, v)
		}
	}
	for i := range x {
		x[i] *= db.ToAmplitude(gustsDB / 2 * math.Sin(2*math.Pi*0.7*float64(i)/48000))
	}
	return x
}

func TestPassesRumbleAndStopsVoice(t *testing.T) {
	for _, rate := range []int{44100, 48000, 96000} {
		require.InDelta(t, -30, watch(scene.Sine(25, -30, 0, 4, rate), rate).LevelDBFS(), 0.2)
		for _, hz := range []float64{50, 60, 100} {
			require.InDelta(t, -30+db.FromPower(Passes(hz)), watch(scene.Sine(hz, -30, 0, 4, rate), rate).LevelDBFS(), 0.3)
		}
		require.Less(t, watch(scene.Sine(85, -30, 0, 4, rate), rate).LevelDBFS(), -47.0)
		require.Less(t, watch(scene.Sine(200, -10, 0, 4, rate), rate).LevelDBFS(), -55.0)
	}
}

// Rumble stands over the rest of a room; white noise has as much in each of its
// hertz under 50 as above: 50 of 1,000 or more is 13 dB less.
func TestRumbleStandsOverTheRest(t *testing.T) {
	room := scene.Noise(-60, 8, 48000, 1)
	require.Greater(t, watch(scene.Add(room, rumble(-45, 8, 0, 2)), 48000).OverRestDB(), 4.0)
	require.Less(t, watch(room, 48000).OverRestDB(), -10.0)
}

func TestThumpsAreCounted(t *testing.T) {
	x := scene.Silence(10, 48000)
	for k := range 5 {
		for i := range 9600 {
			u := (float64(i) - 4800) / 1200
			x[(2*k+1)*48000+i] = 0.3 * math.Exp(-u*u) * math.Sin(2*math.Pi*30*float64(i)/48000)
		}
	}
	m := watch(x, 48000)
	require.InDelta(t, 10, m.BareThumps(-25), 5)
	require.Zero(t, m.BareThumps(-5))
}

func TestGustsTellWindFromRumble(t *testing.T) {
	for seed := range uint64(10) {
		require.Less(t, watch(rumble(-40, 5, 0, seed), 48000).GustsDB(), 5.0)
		require.Greater(t, watch(rumble(-40, 5, 15, seed), 48000).GustsDB(), 6.0)
	}
	require.Zero(t, watch(scene.Silence(0.3, 48000), 48000).GustsDB())
	require.True(t, math.IsInf(watch(scene.Silence(0.01, 48000), 48000).LevelDBFS(), -1))
}

func TestNoAllocation(t *testing.T) {
	m, x := New(3000), scene.Noise(-20, 0.1, 3000, 1)
	require.Zero(t, testing.AllocsPerRun(50, func() { m.Process(x) }))
}
