package dailies

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
)

// truth is what is right of a clip: where it began in which take; takes "" is
// none.
type truth struct {
	take string
	lies float64 // seconds of the take
	cam  simday.Camera
	told bool // enough is spoken for it to be found
}

// shoot is a day in the making.
type shoot struct {
	t          testing.TB
	cards, bin string

	lock   sync.Mutex // of all below
	count  int
	clips  []string
	takes  []string
	truths map[string][]truth
}

func newShoot(t testing.TB) *shoot {
	simday.Need(t)
	return &shoot{t: t, cards: t.TempDir(), bin: t.TempDir(), truths: map[string][]truth{}}
}

func (s *shoot) take(world []float32, k simday.Take) string {
	path := k.Write(s.t, world, filepath.Join(s.bin, fmt.Sprintf("%s_%s.wav", k.Scene, k.Number)))
	s.lock.Lock()
	defer s.lock.Unlock()
	s.takes = append(s.takes, path)
	return path
}

// clip records one and notes which takes of its world it lies in.
func (s *shoot) clip(world []float32, c simday.Camera, takes map[string]simday.Take) string {
	s.lock.Lock()
	s.count++
	name := filepath.Join(s.cards, c.Card, fmt.Sprintf("clip-%03d", s.count))
	s.lock.Unlock()
	require.NoError(s.t, os.MkdirAll(filepath.Dir(name), 0o755))
	path := c.Write(s.t, world, name)
	s.lock.Lock()
	defer s.lock.Unlock()
	s.clips = append(s.clips, path)
	for name, k := range takes {
		if from, to := max(c.FromS, k.FromS), min(c.FromS+c.Seconds, k.FromS+k.Seconds); from < to {
			s.truths[path] = append(s.truths[path], truth{name, c.FromS - k.FromS, c, simday.Spoken(world, from, to) > 1.2})
		}
	}
	return path
}

func (s *shoot) find(keep string) Day {
	day, err := Find(context.Background(), Options{Clips: s.clips, Takes: s.takes, Keep: keep})
	require.NoError(s.t, err)
	require.Empty(s.t, day.Failed)
	return day
}

// graded is how well a day was found.
type graded struct {
	right, wrong, missed, rightlyNone int
	worstMS, worstPPM                 float64
	notes                             []string
}

func (s *shoot) grade(day Day) (g graded) {
	for _, c := range day.Clips {
		want := s.truths[c.Path]
		for _, p := range c.Parts {
			g.part(c, p, want)
		}
		if len(c.Parts) == 0 && len(want) == 0 {
			g.rightlyNone++
		}
		for _, w := range want {
			if w.told && !slices.ContainsFunc(c.Parts, func(p Part) bool { return p.Take.Path == w.take }) {
				g.missed++
				g.notes = append(g.notes, fmt.Sprintf("%s: not found; rivals %v; %+v", filepath.Base(c.Path), c.Rivals, w))
			}
		}
	}
	return g
}

func (g *graded) part(c Clip, p Part, want []truth) {
	for _, w := range want {
		if w.take != p.Take.Path || math.Abs(p.Fit.OffsetS-w.lies) > 0.1 {
			continue
		}
		g.right++
		rate := 1 / (1 + w.cam.PPM*1e-6)
		for _, at := range []float64{p.Fit.FromS, p.Fit.ToS} {
			off := 1000 * math.Abs(p.Fit.TakeS(at)-w.lies-at*rate)
			if off > 0.1 {
				g.notes = append(g.notes, fmt.Sprintf("%s: off by %.4f ms at %.1f s: %+v %+v", filepath.Base(c.Path), off, at, w.cam, p.Fit))
			}
			g.worstMS = max(g.worstMS, off)
		}
		if p.Fit.ToS-p.Fit.FromS > 120 {
			off := math.Abs(p.Fit.PPM - (rate-1)*1e6)
			g.worstPPM = max(g.worstPPM, off)
			if off > 1 {
				g.notes = append(g.notes, fmt.Sprintf("%s: drift off by %.2f ppm: %+v %+v", filepath.Base(c.Path), off, w.cam, p.Fit))
			}
		}
		return
	}
	g.wrong++
	g.notes = append(g.notes, fmt.Sprintf("%s: wrongly in %s: %+v; want %+v", filepath.Base(c.Path), filepath.Base(p.Take.Path), p.Fit, want))
}

// A day in small: two takes of one place in which the same sentences are
// spoken again, and one of another; what cameras do to sound; clips that
// belong nowhere.
func TestADayIsFound(t *testing.T) {
	s := newShoot(t)
	world := simday.World(t, simday.Script{Seconds: 28, Seed: 1, Same: true})
	elsewhere := simday.World(t, simday.Script{Seconds: 7, Seed: 2, Same: true})
	first := simday.Take{Scene: "mill", Number: "1", FromS: 2, Seconds: 11, Started: time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC), Seed: 1}
	second := simday.Take{Scene: "mill", Number: "2", FromS: 15, Seconds: 12, Started: time.Date(2026, 5, 4, 9, 31, 0, 0, time.UTC), Seed: 2}
	takes := map[string]simday.Take{s.take(world, first): first, s.take(world, second): second}
	for i, c := range []simday.Camera{
		{RateHz: 48000, FromS: 4.25, Seconds: 6, Kbps: 64, GainDB: -20, PPM: 60, Rate: "25", Noise: 0.0005},
		{RateHz: 44100, FromS: 18.4, Seconds: 5, Auto: true, Echo: 0.5, PPM: -100, Noise: 0.001},
		{RateHz: 48000, FromS: 8.1, Seconds: 12, GainDB: 10, Dead: true, PPM: 100, Wind: 0.02},
	} {
		c.Seed = uint64(i + 1)
		s.clip(world, c, takes)
	}
	s.clip(elsewhere, simday.Camera{RateHz: 48000, FromS: 1, Seconds: 5, Seed: 9}, nil)
	keep := t.TempDir()
	day := s.find(keep)
	g := s.grade(day)
	require.Empty(t, g.notes)
	require.Equal(t, []int{4, 0, 0, 1}, []int{g.right, g.wrong, g.missed, g.rightlyNone})
	said, err := json.Marshal(day)
	require.NoError(t, err)
	again, err := json.Marshal(s.find(keep))
	require.NoError(t, err)
	require.JSONEq(t, string(said), string(again), "what was kept says the same")
}
