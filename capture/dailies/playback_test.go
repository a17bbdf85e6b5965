package dailies

import (
	"context"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
	"rollready/dsp/compare"
	"rollready/dsp/loudness"
)

// played gives a whole playback, the side changed at a second.
func played(t *testing.T, take string, p Pair, from, to int, atS float64) (x []float32, rateHz int) {
	b, err := NewPlayback(context.Background(), take, p, false)
	require.NoError(t, err)
	rateHz = b.Format().RateHz
	b.Hear(from)
	require.NoError(t, b.Start(func(block []float32) {
		if x = append(x, block...); len(x) > int(atS*float64(rateHz)) {
			b.Hear(to)
		}
	}))
	<-b.Done()
	require.NoError(t, b.Err())
	require.NoError(t, b.Close())
	return x, rateHz
}

// Take and clip are played frame by frame over each other, 18 dB apart as
// recorded and equally loud by BS.1770 as played, also behind lost time.
func TestATakePlaysAgainstItsClip(t *testing.T) {
	s := newShoot(t)
	world := simday.World(t, simday.Script{Seconds: 14, Seed: 4})
	k := simday.Take{Scene: "mill", Number: "1", FromS: 0.5, Seconds: 13, Seed: 1}
	cam := simday.Camera{RateHz: 44100, FromS: 1.25, Seconds: 11, PPM: -80, GainDB: -20, Noise: 0.00002, LostAtS: 6, LostS: 0.05, Seed: 4}
	take := s.take(world, k)
	s.clip(world, cam, map[string]simday.Take{take: k})
	day := s.find(t.TempDir())
	require.Empty(t, s.grade(day).notes)
	require.NoError(t, day.KeepPairs())
	p := LoadPairs(s.bin).Of(take)[0]

	a, hz := played(t, take, p, HearTake, HearTake, 0)
	b, _ := played(t, take, p, HearClip, HearClip, 0)
	require.Equal(t, cam.RateHz, hz)
	require.Equal(t, len(a), len(b))
	require.InDelta(t, 11, float64(len(a))/44100, 0.1)
	require.InDelta(t, loud(hz, a), loud(hz, b), 0.3, "LU")
	for _, second := range []int{2, 5, 8, 10} { // before and after the loss
		require.Greater(t, compare.Alike(a[second*hz:(second+1)*hz], b[second*hz:(second+1)*hz]), 0.99, "second %d", second)
	}
	c, _ := played(t, take, p, HearClip, HearTake, 4)
	require.Equal(t, b[:4*hz], c[:4*hz])
	require.Equal(t, a[5*hz:], c[5*hz:])

	require.NoError(t, os.Remove(p.Clip))
	_, err := NewPlayback(context.Background(), take, p, false)
	require.ErrorContains(t, err, "put its card in again")
}

func loud(rateHz int, x []float32) float64 {
	m := loudness.New(rateHz, 1)
	m.Process(x)
	return math.Round(100*m.Integrated()) / 100
}
