//go:build proof && linux

package dailies

import (
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
)

// lengths of clips in seconds, and how often; one of place 9 is 40 minutes.
var lengths = []struct {
	seconds float64
	share   float64
}{{4, 0.35}, {8, 0.3}, {20, 0.24}, {60, 0.07}, {150, 0.03}, {400, 0.01}}

// cameras is how many there are on a day, each with a card and a clock of its
// own, which the warmth of the day moves a little.
const cameras = 12

// anyCamera draws what a camera does to sound.
func anyCamera(r *rand.Rand, number, seed uint64) simday.Camera {
	own := rand.New(rand.NewPCG(17, number))
	c := simday.Camera{Card: "card-" + strconv.Itoa(int(number)), RateHz: []int{48000, 48000, 44100}[own.IntN(3)],
		PPM: 200*own.Float64() - 100 + r.Float64() - 0.5, GainDB: 40*r.Float64() - 30,
		Noise: 0.0002 + 0.002*r.Float64()*r.Float64(), Seed: seed}
	c.Auto, c.Dead = r.IntN(3) == 0, r.IntN(6) == 0
	if r.IntN(2) == 0 {
		c.Echo = 0.3 + 0.4*r.Float64()
	}
	if r.IntN(3) == 0 {
		c.Wind = 0.01 + 0.05*r.Float64()
	}
	if r.IntN(2) == 0 {
		c.Kbps = []int{64, 96, 128, 192, 256}[r.IntN(5)]
	}
	return c
}

func anyLength(r *rand.Rand) float64 {
	x := r.Float64()
	for _, l := range lengths {
		if x -= l.share; x < 0 {
			return l.seconds * (0.9 + 0.2*r.Float64())
		}
	}
	return 4
}

// place is one place of a day: its takes, and the clips made there.
func place(s *shoot, n int, r *rand.Rand, recorded bool, seed uint64) {
	var clips []simday.Camera
	long := 90.0
	for range n {
		c := anyCamera(r, seed%cameras, seed*1000+uint64(len(clips)))
		if c.Seconds = anyLength(r); seed == 9 && len(clips) == 0 {
			c.Seconds = 2400
		}
		long = max(long, c.Seconds+20)
		clips = append(clips, c)
	}
	world := simday.World(s.t, simday.Script{Seconds: long, Seed: seed, Same: seed%2 == 0, Quiet: seed%5 == 0, Music: seed%3 == 0})
	takes := map[string]simday.Take{}
	if recorded {
		cut := long * (0.35 + 0.3*r.Float64())
		for i, span := range [][2]float64{{0.5, cut - 1}, {cut + 1, long - 0.5}} {
			k := simday.Take{Scene: "place " + strconv.Itoa(int(seed)), Number: strconv.Itoa(i + 1), FromS: span[0], Seconds: span[1] - span[0],
				Started: time.Date(2026, 5, 4, 9, 0, 0, int(span[0]*1e9), time.UTC).Add(time.Duration(seed) * time.Hour), Seed: seed*10 + uint64(i)}
			takes[s.take(world, k)] = k
		}
	}
	for _, c := range clips {
		c.FromS = 0.2 + r.Float64()*(long-c.Seconds-0.4)
		s.clip(world, c, takes)
	}
}

// TestProofDays films 300 clips at 38 places (PROOF_CLIPS: another number, from
// the place PROOF_FROM on); at every eighth place nobody recorded. Prints what
// was found.
func TestProofDays(t *testing.T) {
	n := 300
	if some, err := strconv.Atoi(os.Getenv("PROOF_CLIPS")); err == nil {
		n = some
	}
	first, _ := strconv.Atoi(os.Getenv("PROOF_FROM"))
	s := newShoot(t)
	begun, used := time.Now(), processor()
	_ = inParallel(t.Context(), (n+7)/8, func(i int) error {
		seed := uint64(first + i + 1)
		place(s, min(8, n-8*i), rand.New(rand.NewPCG(5, seed)), seed%8 != 7, seed)
		return nil
	}, func(int64) {})
	t.Logf("filmed in %s, %s of processor", time.Since(begun).Round(time.Second), (processor() - used).Round(time.Second))
	begun, used = time.Now(), processor()
	day := s.find(t.TempDir())
	took := time.Since(begun)
	g := s.grade(day)
	t.Logf("%d clips, %d takes, %.1f min of sound; found in %s, %s of processor (1/%.0f of two cores)", len(day.Clips), len(day.Takes), day.Seconds()/60,
		took.Round(time.Second), (processor() - used).Round(time.Second), 2*day.Seconds()/(processor()-used).Seconds())
	t.Logf("parts right %d, wrong %d, missed %d; rightly without a take %d; worst offset %.4f ms, worst drift %.3f ppm over 2 min", g.right, g.wrong, g.missed, g.rightlyNone, g.worstMS, g.worstPPM)
	for _, note := range g.notes {
		t.Log(note)
	}
	require.Zero(t, g.wrong)
	require.Less(t, g.worstMS, 0.1)
	require.Less(t, g.worstPPM, 1.0)
	require.LessOrEqual(t, g.missed, (n+24)/25) // each said to have no take
}
