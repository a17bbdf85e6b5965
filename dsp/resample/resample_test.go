package resample

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func tone(rateHz, hz float64, channels, frames int) []float32 {
	x := make([]float32, frames*channels)
	for i := range x {
		x[i] = float32(0.5 * math.Sin(2*math.Pi*hz*float64(i/channels)/rateHz+float64(i%channels)))
	}
	return x
}

func channel(x []float32, c, channels int) []float64 {
	var out []float64
	for i := c; i < len(x); i += channels {
		out = append(out, float64(x[i]))
	}
	return out
}

// sinad fits a sine of exactly that frequency (least squares, IEEE 1057's
// three-parameter fit) and gives its power over the rest's in dB, and its
// amplitude.
func sinad(x []float64, hz, rateHz float64) (ratioDB, amplitude float64) {
	var ss, cc, sc, xs, xc float64
	for i, v := range x {
		s, c := math.Sincos(2 * math.Pi * hz * float64(i) / rateHz)
		ss, cc, sc, xs, xc = ss+s*s, cc+c*c, sc+s*c, xs+v*s, xc+v*c
	}
	det := ss*cc - sc*sc
	a, b := (xs*cc-xc*sc)/det, (xc*ss-xs*sc)/det
	var rest, all float64
	for i, v := range x {
		s, c := math.Sincos(2 * math.Pi * hz * float64(i) / rateHz)
		fit := a*s + b*c
		rest, all = rest+(v-fit)*(v-fit), all+fit*fit
	}
	return 10 * math.Log10(all/rest), math.Hypot(a, b)
}

func TestToneComesThroughClean(t *testing.T) {
	for _, c := range []struct{ in, out int }{
		{48000, 48000}, {44100, 48000}, {48000, 44100}, {96000, 48000}, {48000, 96000}, {192000, 44100}, {48000, 16000},
	} {
		for _, hz := range []float64{50, 997, 0.2 * float64(min(c.in, c.out)), 0.4 * float64(min(c.in, c.out))} {
			r := New(c.in, c.out, 2)
			dst := make([]float32, 2*c.out/2)
			made, used := r.Process(dst, tone(float64(c.in), hz, 2, c.in))
			require.Equal(t, c.out/2, made)
			require.InDelta(t, c.in/2+r.ReachFrames(), used, float64(c.in/c.out)+2)
			for ch := range 2 {
				clean, level := sinad(channel(dst, ch, 2)[2000:], hz, float64(c.out))
				require.Greater(t, clean, 95.0, "%d → %d at %g Hz", c.in, c.out, hz)
				require.InDelta(t, 0, 20*math.Log10(level/0.5), 0.05, "%d → %d at %g Hz", c.in, c.out, hz)
			}
		}
	}
}

func TestNothingFoldsBack(t *testing.T) {
	r := New(96000, 48000, 1)
	dst := make([]float32, 24000)
	r.Process(dst, tone(96000, 27000, 1, 96000))
	for _, v := range dst[1000:] {
		require.Less(t, math.Abs(float64(v)), 0.5*1e-4)
	}
}

// A frequency that is off by so many ppm comes out right when the ratio makes
// up for it, also at ratios no table holds.
func TestPPMIsExact(t *testing.T) {
	for _, ppm := range []float64{-1000, -200, -1.5, 0.01, 33, 200} {
		r := New(48000, 48000, 1)
		r.SetPPM(ppm)
		dst := make([]float32, 3*48000)
		made, _ := r.Process(dst, tone(48000, 1000, 1, 4*48000))
		require.Equal(t, len(dst), made)
		clean, _ := sinad(channel(dst, 0, 1)[48000:], 1000*(1+ppm*1e-6), 48000)
		require.Greater(t, clean, 95.0, "%g ppm", ppm)
	}
}

func TestFirstFrameLiesOnTheFirst(t *testing.T) {
	r := New(48000, 96000, 1)
	x := make([]float32, 400)
	x[100] = 1
	dst := make([]float32, 600)
	made, _ := r.Process(dst, x)
	require.Equal(t, 600, made)
	best := 0
	for i, v := range dst {
		if v > dst[best] {
			best = i
		}
	}
	require.Equal(t, 200, best)
}

func TestCutOfBlocksDoesNotMatter(t *testing.T) {
	x := tone(44100, 3000, 2, 20000)
	whole := make([]float32, 2*18000)
	r := New(44100, 48000, 2)
	r.SetPPM(150)
	r.Process(whole, x)
	r = New(44100, 48000, 2)
	r.SetPPM(150)
	got := make([]float32, len(whole))
	done, from := 0, 0
	for n := 1; done < len(got)/2; n = n*7%613 + 1 {
		end, to := min(len(got)/2, done+n%97+1), min(len(x)/2, from+n)
		made, used := r.Process(got[2*done:2*end], x[2*from:2*to])
		done, from = done+made, from+used
	}
	require.Equal(t, whole, got)
}

func TestNeedsIsWhatProcessTakes(t *testing.T) {
	for _, c := range []struct{ in, out int }{{48000, 48000}, {48000, 44100}, {44100, 96000}, {192000, 48000}} {
		r := New(c.in, c.out, 1)
		src := tone(float64(c.in), 500, 1, 10000)
		for _, n := range []int{0, 1, 2, 3, 480, 7, 0, 96, 1024, 33, 1} {
			r.SetPPM(float64(n) * 5)
			needs := r.Needs(n)
			made, used := r.Process(make([]float32, n), src)
			require.Equal(t, n, made)
			require.Equal(t, needs, used)
		}
	}
}

func TestProcessDoesNotAllocate(t *testing.T) {
	r := New(48000, 44100, 2)
	src, dst := tone(48000, 1000, 2, 1024), make([]float32, 2*480)
	require.Zero(t, testing.AllocsPerRun(100, func() {
		r.SetPPM(20)
		r.Needs(480)
		r.Process(dst, src)
	}))
}

func BenchmarkProcess(b *testing.B) {
	r := New(48000, 48000, 2)
	src, dst := tone(48000, 1000, 2, 1024), make([]float32, 2*480)
	r.SetPPM(50)
	b.ReportAllocs()
	for b.Loop() {
		r.Process(dst, src)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/960, "ns/sample")
}

func TestABriefOneIsCleanUpToTwoThirds(t *testing.T) {
	for _, c := range []struct{ in, out int }{{48000, 16000}, {44100, 16000}, {96000, 16000}, {8000, 16000}} {
		for _, hz := range []float64{300, 0.33 * float64(min(c.in, c.out))} {
			r := NewBrief(c.in, c.out, 1)
			dst := make([]float32, c.out/2)
			r.Process(dst, tone(float64(c.in), hz, 1, c.in))
			clean, level := sinad(channel(dst, 0, 1)[1000:], hz, float64(c.out))
			require.Greater(t, clean, 80.0, "%d → %d at %g Hz", c.in, c.out, hz)
			require.InDelta(t, 0, 20*math.Log10(level/0.5), 0.1, "%d → %d at %g Hz", c.in, c.out, hz)
		}
	}
}

// Begun between two frames, the first output frame lies there.
func TestBegunBetweenFrames(t *testing.T) {
	r := New(48000, 48000, 1)
	r.Begin(0.25, 100)
	dst := make([]float32, 24000)
	r.Process(dst, tone(48000, 997, 1, 48000))
	for _, i := range []int{1000, 20000} {
		at := 0.25 + float64(i)*(1+100e-6)
		require.InDelta(t, 0.5*math.Sin(2*math.Pi*997*at/48000), float64(dst[i]), 1e-4)
	}
}
