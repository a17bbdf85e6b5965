package mend

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/signal"
)

func noise(n int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.1 * r.NormFloat64())
	}
	return x
}

func power(x []float32) (sum float64) {
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return sum / float64(len(x))
}

// Over a join the power stays, whether the two are the same, half alike or
// strangers.
func TestAJoinKeepsThePower(t *testing.T) {
	const n = 48000
	a, b := noise(n, 1), noise(n, 2)
	for _, r := range []float64{0, 0.5, 1} {
		cam, take := append([]float32(nil), a...), make([]float32, n)
		for i := range take {
			take[i] = float32(r*float64(a[i]) + math.Sqrt(1-r*r)*float64(b[i]))
		}
		Join(cam, take, n/4)
		for at := 0; at < n; at += n / 16 {
			require.InDelta(t, 1, power(cam[at:at+n/16])/power(a), 0.12, "correlation %g at %d", r, at)
		}
		require.Equal(t, take[n/2], cam[n/2])
	}
}

// The filter found is the room that was put in, polarity and all.
func TestTheToneOfACameraIsFound(t *testing.T) {
	take := signal.Speech(0.3, 48000, 6*48000, 1)
	room := map[int]float32{0: -0.5, 37: 0.2, 1200: -0.15, 2900: 0.1}
	cam := make([]float32, len(take))
	for delay, g := range room {
		for i := delay; i < len(cam); i++ {
			cam[i] += g * take[i-delay]
		}
	}
	hiss := noise(len(cam), 3)
	for i := range cam {
		cam[i] += 0.003 * hiss[i]
	}
	tone := NewTone()
	tone.Add(cam[:4*48000], take[:4*48000])
	taps, ok := tone.Filter()
	require.True(t, ok)
	const from, n = 4*48000 + 5000, 24000
	got := make([]float32, n)
	Apply(got, take[from-Behind:from+n+Ahead], taps)
	rest := make([]float32, n)
	for i := range rest {
		rest[i] = got[i] - cam[from+i]
	}
	require.Less(t, 10*math.Log10(power(rest)/power(cam[from:from+n])), -12.0, "dB")
	_, ok = NewTone().Filter()
	require.False(t, ok)
}

func hear(cam, take []float32) Verdict {
	l := NewListener(48000)
	l.Process(cam, take)
	return l.Verdict(func(float64) bool { return true })
}

func TestFaultsAreFound(t *testing.T) {
	take := signal.Speech(0.3, 48000, 8*48000, 5)
	hiss := noise(len(take), 4)
	good := make([]float32, len(take))
	for i := range good {
		good[i] = take[i] + 0.005*hiss[i]
	}
	require.Empty(t, hear(good, take).Stretches)

	changed := func(change func(i int, x float32) float32) []float32 {
		y := append([]float32(nil), good...)
		for i := range y {
			y[i] = change(i, y[i])
		}
		return y
	}
	for fault, cam := range map[Fault][]float32{
		Clipped: changed(func(_ int, x float32) float32 { return max(-1, min(1, 6*x)) }),
		BrokenUp: changed(func(i int, x float32) float32 {
			if i > 96000 && i < 110000 {
				return 0
			}
			return x
		}),
		AutoLevel: changed(func(i int, x float32) float32 {
			if i > 240000 {
				return 0.3 * x
			}
			return x
		}),
	} {
		v := hear(cam, take)
		require.NotEmpty(t, v.Stretches, fault)
		for _, s := range v.Stretches {
			require.Equal(t, []Fault{fault}, s.Faults)
			require.False(t, s.TakeBad)
		}
		require.Equal(t, fault == AutoLevel, v.MovesDB > 8, "%g dB", v.MovesDB)
	}
	both := changed(func(_ int, x float32) float32 { return max(-1, min(1, 6*x)) })
	for _, s := range hear(both, both).Stretches {
		require.True(t, s.TakeBad, "where the take is clipped, too, it is no help")
	}
}
