//go:build proof && linux

package dailies

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
	"rollready/dsp/match"
	"rollready/dsp/verdict"
)

// processor is the processor time that this process took so far, with that of
// the programs it ran.
func processor() time.Duration {
	sum := int64(0)
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var u syscall.Rusage
		_ = syscall.Getrusage(who, &u)
		sum += u.Utime.Nano() + u.Stime.Nano()
	}
	return time.Duration(sum)
}

// stages notes the processor time of each stage of the work.
type stages struct {
	lock  sync.Mutex
	name  string
	begun time.Duration
	took  map[string]time.Duration
	most  int64 // MiB in memory
}

func (s *stages) see(stage string, _, _ int64) {
	s.lock.Lock()
	defer s.lock.Unlock()
	if now := processor(); stage != s.name {
		s.took[s.name] += now - s.begun
		s.name, s.begun = stage, now
	}
	s.most = max(s.most, resident())
}

func resident() int64 {
	raw, _ := os.ReadFile("/proc/self/statm")
	fields := strings.Fields(string(raw))
	if len(fields) < 2 {
		return 0
	}
	pages, _ := strconv.ParseInt(fields[1], 10, 64)
	return pages * int64(os.Getpagesize()) >> 20
}

// TestProofScale takes clips and takes of ten minutes (PROOF_SCALE takes, twice
// as many clips; 3 if not given), prints what each stage costs, and what 200
// clips × 100 takes would: reading grows with the sound, searching with clips
// times takes, the rest with the clips.
func TestProofScale(t *testing.T) {
	takes := 3
	if some, err := strconv.Atoi(os.Getenv("PROOF_SCALE")); err == nil {
		takes = some
	}
	s := newShoot(t)
	const length = 600
	for i := range takes {
		world := simday.World(t, simday.Script{Seconds: length + 60, Seed: uint64(500 + i)})
		k := simday.Take{Scene: "place", Number: strconv.Itoa(i + 1), FromS: 30, Seconds: length, Seed: uint64(i),
			Started: time.Date(2026, 5, 4, 9+i, 0, 0, 0, time.UTC)}
		all := map[string]simday.Take{s.take(world, k): k}
		s.clip(world, simday.Camera{RateHz: 48000, FromS: 2, Seconds: length, PPM: 40, Noise: 0.001, Kbps: 128, Rate: "25", Seed: uint64(i)}, all)
		s.clip(world, simday.Camera{RateHz: 44100, FromS: 45, Seconds: length, PPM: -70, Noise: 0.001, Echo: 0.4, Seed: uint64(100 + i)}, all)
	}
	seen := &stages{took: map[string]time.Duration{}, begun: processor()}
	keep := t.TempDir()
	day, err := Find(context.Background(), Options{Clips: s.clips, Takes: s.takes, Keep: keep, Progress: seen.see})
	require.NoError(t, err)
	o := WriteOptions{Dir: filepath.Join(keep, "out"), Pattern: DefaultPattern, Roles: []verdict.Role{verdict.Raw}, Keep: keep, Progress: seen.see}
	plan, err := Plan(day, o)
	require.NoError(t, err)
	_, err = Write(context.Background(), day, plan, o)
	require.NoError(t, err)
	seen.see("", 0, 0)
	g := s.grade(day)
	require.Empty(t, g.notes)
	clips := float64(len(s.clips))
	read := (seen.took["read takes"] + seen.took["read clips"]).Seconds() / (clips + float64(takes)) * 300
	search := seen.took["search"].Seconds() / (clips * float64(takes)) * 20000
	compare, write := seen.took["compare"].Seconds()/clips*200, seen.took["write"].Seconds()/clips*200
	t.Logf("%d clips × %d takes of 10 min, processor seconds: %v; most in memory %d MiB", len(s.clips), takes, seen.took, seen.most)
	all := read + search + compare + write
	t.Logf("200 × 100: read %.0f s, search %.0f s, compare %.0f s, write %.0f s: %.0f s of two cores for %d s of sound: 1/%.0f", read, search, compare, write, all/2, 300*length, 300*length/(all/2))
	require.Greater(t, 300*length/(all/2), 50.0)
}

// TestProofSearchAtScale searches for ten-minute clips in ten-minute takes that
// are prints alone (PROOF_TAKES and PROOF_CLIPS of them, 20 and 2 if not
// given), and prints what a pair costs and how much memory it took.
func TestProofSearchAtScale(t *testing.T) {
	count := func(name string, usual int) int {
		if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
			return n
		}
		return usual
	}
	s, err := newShelf(t.TempDir())
	require.NoError(t, err)
	f := &finder{shelf: s}
	make := func(kind string, n int) (all []Recording) {
		for i := range n {
			r := Recording{Path: kind + strconv.Itoa(i), Key: kind + strconv.Itoa(i), RateHz: 48000, Channels: 1, Frames: 600 * 48000}
			require.NoError(t, s.save(r.Key, "print", kept{r, babble(600, uint64(len(kind)*1000+i))}))
			all = append(all, r)
		}
		return all
	}
	f.takes, f.clips = make("take", count("PROOF_TAKES", 20)), make("clip", count("PROOF_CLIPS", 2))
	debug.FreeOSMemory() // what the proofs before it left
	seen := &stages{took: map[string]time.Duration{}, begun: processor()}
	f.Progress = seen.see
	before := resident()
	require.NoError(t, f.search(context.Background()))
	seen.see("", 0, 0)
	pairs := len(f.clips) * len(f.takes)
	t.Logf("%d clips × %d takes of 10 min: %.1f ms of processor a pair; %d MiB in memory before, at most %d MiB", len(f.clips), len(f.takes),
		1000*(seen.took["search"]+seen.took[""]).Seconds()/float64(pairs), before, seen.most)
	require.Less(t, seen.most-before, int64(400), "MiB more than before")
}

// babble is a print of levels that go up and down in syllables.
func babble(seconds int, seed uint64) match.Print {
	r := rand.New(rand.NewPCG(seed, 3))
	p := match.Print{Seconds: float64(seconds)}
	const perHop = 14 // 12 bands, the whole, the peak
	level := 120.0
	for i := range seconds * match.HopsPerSecond {
		if i%8 == 0 {
			level = 100 + 60*r.Float64()
		}
		for range perHop {
			p.Hops = append(p.Hops, uint8(level+20*r.Float64()))
		}
	}
	return p
}
