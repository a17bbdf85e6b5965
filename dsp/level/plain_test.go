package level

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/signal"
)

// plain finds flat tops sample by sample, without passing over any and without
// looking ahead: what the fast finder must equal.
func plain(f *flatTops, x float64) {
	f.at++
	if a := math.Abs(x); a >= flatFloor || !f.idle() {
		f.follow(x, a)
		f.begin(x, a)
	}
	f.last[1], f.last[0] = f.last[0], x
}

// odd makes signals that the short cuts could trip over: quiet and loud, of
// fine and of coarse resolution, clipped at ceilings that move, with holes.
func odd(r *rand.Rand, frames int) []float32 {
	x := signal.Sine(20+2000*r.Float64(), r.Float64(), 48000, frames)
	noise := signal.Noise(0.003*r.Float64(), frames, r.Uint64())
	ceiling, step := float32(1.1*r.Float64()), float32(math.Pow(2, -4-20*r.Float64()))
	for i := range x {
		if r.IntN(2000) == 0 {
			ceiling = float32(1.1 * r.Float64())
		}
		loud := float32(0.5 + 0.5*math.Sin(float64(i)/3000))
		x[i] = min(ceiling, max(-ceiling, x[i]*loud)) + noise[i]
		x[i] = float32(math.Round(float64(x[i]/step))) * step
		if i/500%9 == 8 {
			x[i] = 0
		}
	}
	return x
}

func TestFastEqualsPlain(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	found := int64(0)
	for range 300 {
		x := odd(r, 12000)
		m := New(48000, 1)
		signal.Cut(x, 1, m.Process)
		tops, clip := newFlatTops(48000), clipRuns{}
		for _, v := range x {
			plain(&tops, finite(v))
			clip.push(math.Abs(finite(v)))
		}
		require.Equal(t, tops.count, m.channels[0].flat.count)
		require.Equal(t, clip.count, m.ClippedRuns(0))
		require.Equal(t, tops.last, m.channels[0].flat.last)
		require.Equal(t, tops.at, m.channels[0].flat.at)
		found += tops.count
	}
	require.Greater(t, found, int64(1000))
}
