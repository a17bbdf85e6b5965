package drift_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/drift"
	"rollready/dsp/resample"
)

// rig is two simulated clocks: a writer that puts a tone into a buffer, block
// by block, and a reader that takes it out through the resampler.
type rig struct {
	rateHz, inBlock, outBlock int
	ppm                       float64 // how much faster the writer's clock runs
	jitter                    float64 // seconds by which each callback may come late
	hz                        float64
}

type result struct {
	leastFill, mostFill int // after the first block
	underruns           int
	learnt              float64
	worstStep           float64 // greatest second difference over the tone's own
	worstSINAD          float64 // over half-second stretches, once the loop has settled
}

func (g rig) run(seconds float64) result {
	const target = 2400
	var (
		r            = rand.New(rand.NewPCG(1, 2))
		ctl          = drift.New(g.rateHz, target)
		rs           = resample.New(g.rateHz, g.rateHz, 1)
		written      = target
		buffer       []float32
		out          = make([]float32, g.outBlock)
		nextIn       = 0.0
		inEvery      = float64(g.inBlock) / float64(g.rateHz) / (1 + g.ppm*1e-6)
		outEvery     = float64(g.outBlock) / float64(g.rateHz)
		stretch      []float64
		res          = result{leastFill: 1 << 30, worstSINAD: math.Inf(1)}
		w            = 2 * math.Pi * g.hz / float64(g.rateHz)
		before, last float64
	)
	sample := func(n int) float32 { return float32(0.5 * math.Sin(w*float64(n))) }
	for n := range target {
		buffer = append(buffer, sample(n))
	}
	inLate := 0.0
	for k := 0; float64(k)*outEvery < seconds; k++ {
		now := float64(k)*outEvery + r.Float64()*g.jitter
		for nextIn+inLate <= now {
			for range g.inBlock {
				buffer = append(buffer, sample(written))
				written++
			}
			nextIn += inEvery
			inLate = r.Float64() * g.jitter
		}
		rs.SetPPM(ctl.Update(float64(len(buffer)), g.outBlock))
		made, used := rs.Process(out, buffer)
		buffer = append(buffer[:0], buffer[used:]...)
		if made < g.outBlock {
			res.underruns++
		}
		res.leastFill, res.mostFill = min(res.leastFill, len(buffer)), max(res.mostFill, len(buffer))
		for i, v := range out {
			x := float64(v)
			if k*g.outBlock+i > 1000 { // past the ringing of the tone's sudden start
				res.worstStep = max(res.worstStep, math.Abs(x-2*last+before)/(0.5*w*w))
			}
			before, last = last, x
		}
		if int(float64(k)*outEvery)%15 == 14 && float64(k)*outEvery > 300 { // one second out of fifteen
			for _, v := range out {
				stretch = append(stretch, float64(v))
			}
			if len(stretch) >= g.rateHz/2 {
				res.worstSINAD = min(res.worstSINAD, sinad(stretch, g.hz*(1+g.ppm*1e-6)/float64(g.rateHz)))
				stretch = stretch[:0]
			}
		} else {
			stretch = stretch[:0]
		}
	}
	res.learnt = ctl.DriftPPM()
	return res
}

// sinad fits a sine whose frequency, in cycles per frame, is refined around f
// (IEEE 1057's four-parameter fit, by a search instead of iteration), and
// gives its power over the rest's in dB.
func sinad(x []float64, f float64) float64 {
	width := 20e-6 * f
	for range 12 {
		low, mid, high := fit(x, f-width), fit(x, f), fit(x, f+width)
		switch {
		case low > mid && low > high:
			f -= width
		case high > mid:
			f += width
		default:
			width /= 3
		}
	}
	return fit(x, f)
}

func fit(x []float64, f float64) float64 {
	var ss, cc, sc, xs, xc, xx float64
	// a rotating vector instead of a sine per sample
	s, c := 0.0, 1.0
	ds, dc := math.Sincos(2 * math.Pi * f)
	for _, v := range x {
		ss, cc, sc, xs, xc, xx = ss+s*s, cc+c*c, sc+s*c, xs+v*s, xc+v*c, xx+v*v
		s, c = s*dc+c*ds, c*dc-s*ds
	}
	det := ss*cc - sc*sc
	a, b := (xs*cc-xc*sc)/det, (xc*ss-xs*sc)/det
	all := a*xs + b*xc
	return 10 * math.Log10(all/(xx-all))
}

// An hour at clock differences of up to ±200 ppm, with callbacks on time and
// late: nothing runs dry, nothing piles up, the tone stays clean. The rate is
// low so that an hour passes in seconds; the loop is the same at any rate.
func TestAnHourBetweenTwoClocks(t *testing.T) {
	seconds := 3600.0
	if testing.Short() {
		seconds = 900
	}
	for _, ppm := range []float64{-200, 33, 200} {
		for _, jitter := range []float64{0, 0.003} {
			g := rig{rateHz: 8000, inBlock: 80, outBlock: 96, ppm: ppm, jitter: jitter, hz: 1000}
			t.Run(fmt.Sprintf("%g ppm, %g ms late", ppm, jitter*1000), func(t *testing.T) {
				t.Parallel()
				res := g.run(seconds)
				t.Logf("%+v", res)
				require.Zero(t, res.underruns)
				require.InDelta(t, 2400, res.leastFill, 500)
				require.InDelta(t, 2400, res.mostFill, 500)
				require.InDelta(t, ppm, res.learnt, 5)
				require.Less(t, res.worstStep, 1.01, "a step is audible as a bend sharper than the tone's own")
				require.Greater(t, res.worstSINAD, 70.0)
			})
		}
	}
}

func TestUpdateDoesNotAllocate(t *testing.T) {
	c := drift.New(48000, 960)
	require.Zero(t, testing.AllocsPerRun(100, func() { c.Update(970, 480) }))
}
