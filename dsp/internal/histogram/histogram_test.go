package histogram

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
)

// Every answer against sorting all the blocks.
func TestEqualsSorting(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	for _, n := range []int{1, 2, 7, 100, 5000} {
		h, blocks := New(-90, 10, 0.01), make([]float64, n)
		for i := range blocks {
			blocks[i] = db.ToPower(-40 + 10*random.NormFloat64())
			h.Add(blocks[i])
		}
		slices.Sort(blocks)
		require.InEpsilon(t, mean(blocks), h.Mean(), 1e-12)
		gate := h.Mean() * db.ToPower(-10)
		from, _ := slices.BinarySearch(blocks, gate)
		above := blocks[from:]
		count, power := h.Above(gate)
		require.InDelta(t, len(above), count, float64(n)/500)
		require.InDelta(t, db.FromPower(mean(above)), db.FromPower(power), 0.01)
		for _, q := range []float64{0, 0.1, 0.5, 0.95, 1} {
			want := above[int(math.Round(q*float64(len(above)-1)))]
			require.InDelta(t, db.FromPower(want), db.FromPower(h.Quantile(q, gate)), 0.05, "%d blocks, %g", n, q)
		}
		low, high := int(0.05*float64(n)), int(math.Ceil(0.1*float64(n)))
		require.InDelta(t, db.FromPower(mean(blocks[low:max(low+1, high)])), db.FromPower(h.Between(0.05, 0.1)), 0.02)
	}
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func TestEmptyAndOutOfRange(t *testing.T) {
	h := New(-90, 10, 0.1)
	require.Zero(t, h.Mean())
	require.Zero(t, h.Quantile(0.5, 0))
	require.Zero(t, h.Between(0.05, 0.1))
	for _, p := range []float64{0, 1e-30, 1e30, math.Inf(1)} {
		h.Add(p)
	}
	require.EqualValues(t, 4, h.Blocks())
	h.Reset()
	require.Zero(t, h.Blocks())
}
