//go:build proof

package dailies

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies/internal/simday"
	"rollready/dsp/mend"
)

// TestProofMending breaks clips in every way, in dry and in reverberant rooms,
// and leaves as many whole; prints a table.
func TestProofMending(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for _, kind := range []struct {
		fault  mend.Fault
		break_ func(c *simday.Camera)
	}{
		{mend.BrokenUp, func(c *simday.Camera) { c.HoleAtS, c.HoleS = 3+5*r.Float64(), 0.02+0.5*r.Float64() }},
		{mend.Clipped, func(c *simday.Camera) { c.GainDB = 7 + 3*r.Float64() }},
		{mend.LostTime, func(c *simday.Camera) { c.LostAtS, c.LostS = 4+4*r.Float64(), 0.02+0.1*r.Float64() }},
		{"", func(c *simday.Camera) {}},
	} {
		found, wrong, joined, over, worst, steps := 0, 0, 0, 0, 0.0, 0.0
		const n = 6
		for i := range n {
			c := simday.Camera{RateHz: []int{48000, 44100}[i%2], FromS: 1, Seconds: 12, PPM: 100 * (r.Float64() - 0.5), GainDB: -6, Noise: 0.0003 + 0.0007*r.Float64(), Seed: uint64(i)}
			if i%3 > 0 {
				c.Echo = 0.25 * float64(i%3)
			}
			if i%4 == 3 {
				c.Kbps = 128
			}
			kind.break_(&c)
			clip, got, ideal, _ := mendOne(t, c, uint64(100+i))
			f := faults(clip)
			if !slices.Equal(f, []mend.Fault{kind.fault}) && len(f)+len(kind.fault) > 0 {
				t.Logf("%s: found %v: %+v; %+v", kind.fault, f, c, clip.Heard.Stretches)
			}
			if slices.Contains(f, kind.fault) || kind.fault == "" && len(f) == 0 {
				found++
			}
			wrong += len(slices.DeleteFunc(f, func(x mend.Fault) bool { return x == kind.fault }))
			if got != nil {
				joined += 2 * len(clip.Mendable())
				lu, step := joins(clip, got[:len(got)-clip.RateHz/5], ideal)
				if lu >= 0.5 || step > 1.1 {
					t.Logf("%s: %.2f LU, step %.2f: %+v", kind.fault, lu, step, c)
				}
				if lu >= 0.5 {
					over++
				}
				worst, steps = max(worst, lu), max(steps, step)
			}
		}
		t.Logf("%-16s %d of %d found, %d faults said that are none; %d joins, worst %.2f LU, over 0.5 LU in %d clips, step %.2f", kind.fault, found, n, wrong, joined, worst, over, steps)
		require.Equal(t, n, found, kind.fault)
		require.Zero(t, wrong, kind.fault)
		require.LessOrEqual(t, steps, 1.1, kind.fault)
		switch kind.fault {
		case mend.Clipped: // loud speech that clips leaves little to learn a reverberant room from
			require.Less(t, worst, 0.8, kind.fault)
		default:
			require.Less(t, worst, 0.5, kind.fault)
		}
	}
}
