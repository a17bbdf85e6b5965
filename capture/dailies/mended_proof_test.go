//go:build proof

package dailies

import (
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
	"rollready/dsp/mend"
)

// TestProofMending breaks clips in every way, in dry and in reverberant rooms,
// and leaves as many whole; prints a table.
func TestProofMending(t *testing.T) {
	for _, kind := range []struct {
		name   string
		faults []mend.Fault
		break_ func(c *simday.Camera, r *rand.Rand)
	}{
		{"broken up", []mend.Fault{mend.BrokenUp}, func(c *simday.Camera, r *rand.Rand) { c.HoleAtS, c.HoleS = 3+5*r.Float64(), 0.02+0.5*r.Float64() }},
		{"clipped", []mend.Fault{mend.Clipped}, func(c *simday.Camera, r *rand.Rand) { c.GainDB = 7 + 3*r.Float64() }},
		{"lost time", []mend.Fault{mend.LostTime}, func(c *simday.Camera, r *rand.Rand) { c.LostAtS, c.LostS = 4+4*r.Float64(), 0.02+0.1*r.Float64() }},
		{"automatic level", []mend.Fault{mend.AutoLevel}, func(c *simday.Camera, r *rand.Rand) {
			c.Auto, c.GustAtS, c.GustDB = true, 4+2*r.Float64(), 12+6*r.Float64()
		}},
		{"whole", nil, func(*simday.Camera, *rand.Rand) {}},
	} {
		t.Run(kind.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(7, uint64(len(kind.name))))
			found, wrong, joined, over, worst, steps := 0, 0, 0, 0, 0.0, 0.0
			n := 6
			if os.Getenv("EVERY") != "" {
				n = 2
			}
			for i := range n {
				c := simday.Camera{RateHz: []int{48000, 44100}[i%2], FromS: 1, Seconds: 12, PPM: 100 * (r.Float64() - 0.5), GainDB: -6, Noise: 0.0003 + 0.0007*r.Float64(), Seed: uint64(i)}
				if i%3 > 0 {
					c.Echo = 0.25 * float64(i%3)
				}
				if i%4 == 3 {
					c.Kbps = 128
				}
				kind.break_(&c, r)
				clip, got, ideal, _ := mendOne(t, c, uint64(100+i))
				f := faults(clip)
				if !slices.Equal(f, kind.faults) {
					t.Logf("found %v: %+v; %+v", f, c, clip.Heard.Stretches)
				}
				if slices.Equal(f, kind.faults) {
					found++
				}
				wrong += len(slices.DeleteFunc(f, func(x mend.Fault) bool { return slices.Contains(kind.faults, x) }))
				if got != nil {
					joined += 2 * len(clip.Mendable())
					lu, step := joins(clip, got[:len(got)-clip.RateHz/5], ideal)
					if lu >= 0.5 || step > 1.1 {
						t.Logf("%.2f LU, step %.2f: %+v", lu, step, c)
					}
					if lu >= 0.5 {
						over++
					}
					worst, steps = max(worst, lu), max(steps, step)
				}
			}
			t.Logf("%-16s %d of %d found, %d faults said that are none; %d joins, worst %.2f LU, over 0.5 LU in %d clips, step %.2f", kind.name, found, n, wrong, joined, worst, over, steps)
			require.Equal(t, n, found)
			require.Zero(t, wrong)
			require.LessOrEqual(t, steps, 1.1)
			require.Less(t, worst, 0.5)
		})
	}
}
