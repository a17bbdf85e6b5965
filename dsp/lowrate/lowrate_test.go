package lowrate

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/scene"
)

var rates = []int{44100, 48000, 88200, 96000, 176400, 192000}

// through gives the level of what a −6 dBFS tone becomes.
func through(hz float64, rateHz int) float64 {
	var y []float64
	d := New(rateHz, 1, func(_ int, x []float64) { y = append(y, x...) })
	d.Process(scene.Interleave(scene.Sine(hz, -6, 0, 1, rateHz)))
	sum := 0.0
	for _, v := range y[100:] {
		sum += v * v
	}
	return db.RMS(sum / float64(len(y)-100))
}

func TestPassAndStop(t *testing.T) {
	for _, rate := range rates {
		low := Rate(rate)
		require.InDelta(t, 3000, low, 100)
		for hz := 20.0; hz <= 900; hz += 40 {
			require.InDelta(t, -6, through(hz, rate), 0.2, "%g Hz at %d", hz, rate)
			for k := 1.0; k <= 4; k++ {
				require.Less(t, through(k*low-hz, rate), -56.0, "%g Hz at %d", k*low-hz, rate)
			}
		}
	}
}

func TestBlocksChannelsAndAllocation(t *testing.T) {
	a, b := scene.Noise(-20, 1, 48000, 1), scene.Noise(-30, 1, 48000, 2)
	frames := scene.Interleave(a, b)
	run := func(feed func(process func([]float32))) (out [2][]float64) {
		d := New(48000, 2, func(c int, x []float64) { out[c] = append(out[c], x...) })
		feed(d.Process)
		return out
	}
	whole := run(func(p func([]float32)) { p(frames) })
	require.Equal(t, whole, run(func(p func([]float32)) { scene.InBlocks(frames, 2, p) }))
	require.Len(t, whole[0], 3000)
	bad := slices.Clone(frames)
	bad[100] = float32(math.NaN())
	out := run(func(p func([]float32)) { p(bad) })
	require.False(t, slices.ContainsFunc(out[0], func(v float64) bool { return math.IsNaN(v) }))
	d := New(48000, 2, func(int, []float64) {})
	require.Zero(t, testing.AllocsPerRun(50, func() { d.Process(frames[:960]) }))
}

func BenchmarkDecimator(b *testing.B) {
	x := scene.Interleave(scene.Noise(-20, 1, 48000, 1), scene.Noise(-30, 1, 48000, 2))
	d := New(48000, 2, func(int, []float64) {})
	b.ReportAllocs()
	for b.Loop() {
		d.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}
