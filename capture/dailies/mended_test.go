package dailies

import (
	"context"
	"math"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
	"rollready/dsp/loudness"
	"rollready/dsp/mend"
)

// mendOne films one clip, mends it, and gives the mended sound and what the
// camera would have recorded without its faults.
func mendOne(t *testing.T, cam simday.Camera, seed uint64) (c Clip, got, ideal []float32, faultAtS float64) {
	s := newShoot(t)
	world := simday.World(t, simday.Script{Seconds: cam.FromS + cam.Seconds + 2, Seed: seed})
	cam.HoleAtS, cam.LostAtS = amidSpeech(world, cam, cam.HoleAtS), amidSpeech(world, cam, cam.LostAtS)
	k := simday.Take{Scene: "mill", Number: "1", FromS: 0.5, Seconds: cam.FromS + cam.Seconds + 1, Started: time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC), Seed: 1}
	s.clip(world, cam, map[string]simday.Take{s.take(world, k): k})
	keep := t.TempDir()
	day := s.find(keep)
	require.Empty(t, s.grade(day).notes)
	require.NoError(t, Hear(context.Background(), &day, Options{Keep: keep}))
	require.Empty(t, day.Failed)
	o := WriteOptions{Dir: t.TempDir(), Pattern: DefaultPattern, Keep: keep, Mend: true}
	plan, err := Plan(day, o)
	require.NoError(t, err)
	failed, err := Write(context.Background(), day, plan, o)
	require.NoError(t, err)
	require.Empty(t, failed)
	c = day.Clips[0]
	if len(plan) < 2 {
		return c, nil, nil, 0
	}
	require.Equal(t, "clip-001_mill_001_mended.wav", filepath.Base(plan[1].Path))
	x, channels := readAll(t, plan[1].Path)
	require.EqualValues(t, plan[1].Frames, len(x)/channels)
	return c, channelOf(x, 1, channels), cam.Ideal().Frames(world), cam.HoleAtS + cam.LostAtS // one of them
}

// amidSpeech is the next moment at which somebody speaks; 0 stays.
func amidSpeech(world []float32, cam simday.Camera, atS float64) float64 {
	for atS > 0 && simday.Spoken(world, cam.FromS+atS-0.2, cam.FromS+atS+0.4) < 0.5 {
		atS += 0.1
	}
	return atS
}

// joins judges every join against the sound without faults: how far the
// loudness of 400 ms over it is off, in LU, and how much greater the largest
// step from sample to sample is in the fades than what the signals have around.
func joins(c Clip, got, ideal []float32) (worstLU, worstStep float64) {
	fade := int(fadeS * float64(c.RateHz))
	for _, s := range c.Mendable() {
		for _, join := range []int{int(s.From) - fade/2, int(s.To) + fade/2} {
			from, to := max(0, join-c.RateHz/5), min(len(got), len(ideal), join+c.RateHz/5)
			if to-from < c.RateHz*3/10 {
				continue
			}
			a, b := loudnessOf(c.RateHz, got[from:to]), loudnessOf(c.RateHz, ideal[from:to])
			louder := 0.0
			if slices.Contains(s.Faults, mend.AutoLevel) { // what is right is the level that it has outside
				x, y := from, int(s.From)-fade
				if join > int(s.From) {
					x, y = int(s.To)+fade, to
				}
				louder = loudnessOf(c.RateHz, got[x:y]) - loudnessOf(c.RateHz, ideal[x:y])
			}
			b += louder
			if b > -50 {
				worstLU = max(worstLU, math.Abs(a-b))
			}
			x, y := max(from, join-fade), min(to, join+fade)
			around := max(step(ideal[from:to])*math.Pow(10, louder/20), step(got[from:x]), step(got[y:to]))
			worstStep = max(worstStep, step(got[x:y])/around)
		}
	}
	return worstLU, worstStep
}

func loudnessOf(rateHz int, x []float32) float64 {
	m := loudness.New(rateHz, 1)
	m.Process(x)
	m.Process(make([]float32, rateHz/2))
	return m.MaxMomentary()
}

func step(x []float32) (most float64) {
	for i := 1; i < len(x); i++ {
		most = max(most, math.Abs(float64(x[i]-x[i-1])))
	}
	return most
}

func faults(c Clip) (all []mend.Fault) {
	for _, s := range c.Heard.Stretches {
		for _, f := range s.Faults {
			if !slices.Contains(all, f) {
				all = append(all, f)
			}
		}
	}
	return all
}

func TestABadStretchIsMended(t *testing.T) {
	cam := simday.Camera{RateHz: 48000, FromS: 1, Seconds: 5, PPM: 50, Noise: 0.0005, HoleAtS: 2, HoleS: 0.2, Echo: 0.4, Seed: 3}
	c, got, ideal, at := mendOne(t, cam, 21)
	require.Equal(t, []mend.Fault{mend.BrokenUp}, faults(c), "%+v", c.Heard.Stretches)
	require.Len(t, c.Heard.Stretches, 1)
	s := c.Heard.Stretches[0]
	require.InDelta(t, at, float64(s.From)/48000, 0.1)
	require.InDelta(t, at+cam.HoleS, float64(s.To)/48000, 0.1)
	lu, step := joins(c, got[:len(got)-4800], ideal)
	require.Less(t, lu, 0.5, "LU")
	require.LessOrEqual(t, step, 1.0)
}
