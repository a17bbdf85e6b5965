package dailies

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
	"rollready/capture/recording"
	"rollready/capture/take/bwf"
	"rollready/dsp/verdict"
)

func readAll(t testing.TB, path string) (x []float32, channels int) {
	r, err := recording.Open(context.Background(), path)
	require.NoError(t, err)
	defer r.Close()
	x = make([]float32, int(r.Frames())*r.Format().Channels)
	n, err := r.Read(x)
	require.NoError(t, err)
	require.EqualValues(t, r.Frames(), n)
	return x, r.Format().Channels
}

// The written sound is, sample for sample, what a perfect microphone on the
// camera's own clock would have recorded: world and truth are computed apart.
func TestWhatIsWrittenRunsWithTheClip(t *testing.T) {
	s := newShoot(t)
	world := simday.World(t, simday.Script{Seconds: 16, Seed: 3})
	began := time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC)
	k := simday.Take{Scene: "mill", Number: "3", FromS: 3, Seconds: 12, Started: began, Seed: 1}
	takes := map[string]simday.Take{s.take(world, k): k}
	cam := simday.Camera{RateHz: 44100, FromS: 1.25, Seconds: 9, PPM: -80, Kbps: 128, Rate: "30000/1001", Timecode: "10:00:00;02", Noise: 0.0005, Seed: 4}
	s.clip(world, cam, takes)
	keep := t.TempDir()
	day := s.find(keep)
	require.Empty(t, s.grade(day).notes)
	o := WriteOptions{Dir: filepath.Join(t.TempDir(), "out"), Pattern: DefaultPattern, Roles: []verdict.Role{verdict.Raw}, Keep: keep}
	plan, err := Plan(day, o)
	require.NoError(t, err)
	require.Len(t, plan, 1)
	require.Equal(t, "clip-001_mill_003.wav", filepath.Base(plan[0].Path))
	failed, err := Write(context.Background(), day, plan, o)
	require.NoError(t, err)
	require.Empty(t, failed)

	x, channels := readAll(t, plan[0].Path)
	require.Equal(t, 1, channels)
	pictures := day.Clips[0].Picture.Frames
	require.EqualValues(t, math.Round(float64(pictures)*1001/30000*48000), len(x), "exactly the clip's length")
	cam = simday.Camera{RateHz: 48000, FromS: cam.FromS, Seconds: cam.Seconds - 0.1, PPM: cam.PPM, Seed: 5}
	want := cam.Frames(world)
	var rest, all float64
	starts := int(math.Ceil((k.FromS - cam.FromS) * 48000))
	for i := range want {
		got := float64(x[i])
		if i < starts-48 {
			require.Zero(t, x[i], "the take had not begun at frame %d", i)
		}
		if i > starts+48 {
			d := got - 0.5*float64(want[i])
			rest, all = rest+d*d, all+got*got
		}
	}
	require.Less(t, 10*math.Log10(rest/all), -37.0, "dB")

	info, err := bwf.Read(plan[0].Path)
	require.NoError(t, err)
	require.Equal(t, []string{"input 1"}, info.Meta.Tracks)
	require.Equal(t, "mill", info.Meta.Scene)
	// By the clip's timecode, not by the recorder's clock.
	require.InDelta(t, day.Clips[0].Picture.Start().Seconds()*48000, float64(info.Bext.TimeReference), 1)

	again, err := Plan(day, o)
	require.NoError(t, err)
	require.True(t, again[0].Done, "a second run has nothing to do")
	require.NoError(t, os.WriteFile(plan[0].Path, []byte("somebody's"), 0o600))
	again, err = Plan(day, o)
	require.NoError(t, err)
	require.False(t, again[0].Done)
	failed, err = Write(context.Background(), day, again, o)
	require.NoError(t, err)
	require.Len(t, failed, 1, "what somebody else wrote is not lost")

	// Stopped at any moment, nothing half is left.
	for _, calls := range []int64{0, 1, 5, 40} {
		o.Dir = t.TempDir()
		plan, err = Plan(day, o)
		require.NoError(t, err)
		stopped := &tiring{Context: context.Background()}
		stopped.left.Store(calls)
		_, err = Write(stopped, day, plan, o)
		require.ErrorIs(t, err, context.Canceled)
		left, err := os.ReadDir(o.Dir)
		require.NoError(t, err)
		require.Empty(t, left)
	}
}

// tiring is a context that ends after it was asked a few times.
type tiring struct {
	context.Context
	left atomic.Int64
}

func (c *tiring) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}
