package mend

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/signal"
)

// Of a room known tap by tap, heard in runs of 60 ms with clipped ones between,
// the spectra lose what rings on into a run; the least squares finds it. The
// truth is a convolution of the test's own.
func TestShortRunsTellTheRoom(t *testing.T) {
	const n, every, run = 40000, 5760, 2880
	r := rand.New(rand.NewPCG(1, 2))
	take := signal.Speech(0.3, 48000, Behind+n+Ahead, 5)
	room := map[int]float64{0: 0.5}
	for range 40 {
		room[100+r.IntN(3700)] += 0.3 * (2*r.Float64() - 1)
	}
	cam := make([]float32, n)
	for i := range cam {
		for delay, g := range room {
			cam[i] += float32(g * float64(take[Behind+i-delay]))
		}
	}
	var good [][2]int
	tone := NewTone()
	for at := 0; at+run <= n; at += every {
		good = append(good, [2]int{at, at + run})
		tone.Add(cam[at:at+run], take[Behind+at:Behind+at+run])
	}
	taps, ok := tone.Filter()
	require.True(t, ok)
	off := func(taps []float64) float64 { // dB under the camera, where it was not heard
		y := make([]float32, n)
		Apply(y, take, taps)
		var rest, all float64
		for _, g := range good {
			for i := g[1]; i < min(n, g[0]+every); i++ {
				d := float64(y[i] - cam[i])
				rest, all = rest+d*d, all+float64(cam[i])*float64(cam[i])
			}
		}
		return 10 * math.Log10(rest/all)
	}
	before, after := off(taps), off(Refine(taps, cam, take, good))
	t.Logf("%.1f dB, refined %.1f dB", before, after)
	require.Greater(t, before, -4.0)
	require.Less(t, after, -9.0)
}
