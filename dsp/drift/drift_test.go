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

const target = 2400

// bench is a rig while it runs.
type bench struct {
	rig
	random       *rand.Rand
	controller   *drift.Controller
	resampler    *resample.Resampler
	buffer       []float32
	written      int     // frames
	inAt, inLate float64 // when the writer's next block is due, and by how much it comes late
	heard        int     // frames
	last, before float64
	stretch      []float64
	result       result
}

func (g rig) run(seconds float64) result {
	b := &bench{rig: g, random: rand.New(rand.NewPCG(1, 2)), controller: drift.New(g.rateHz, target),
		resampler: resample.New(g.rateHz, g.rateHz, 1), result: result{leastFill: 1 << 30, worstSINAD: math.Inf(1)}}
	b.write(target)
	out := make([]float32, g.outBlock)
	every := float64(g.outBlock) / float64(g.rateHz)
	for k := 0; float64(k)*every < seconds; k++ {
		b.writeUntil(float64(k)*every + b.random.Float64()*g.jitter)
		b.read(out)
		b.watch(out, float64(k)*every)
	}
	b.result.learnt = b.controller.DriftPPM()
	return b.result
}

func (b *bench) omega() float64 { return 2 * math.Pi * b.hz / float64(b.rateHz) }

func (b *bench) write(frames int) {
	for range frames {
		b.buffer = append(b.buffer, float32(0.5*math.Sin(b.omega()*float64(b.written))))
		b.written++
	}
}

// writeUntil lets the writer's clock run up to now.
func (b *bench) writeUntil(now float64) {
	for b.inAt+b.inLate <= now {
		b.write(b.inBlock)
		b.inAt += float64(b.inBlock) / float64(b.rateHz) / (1 + b.ppm*1e-6)
		b.inLate = b.random.Float64() * b.jitter
	}
}

func (b *bench) read(out []float32) {
	b.resampler.SetPPM(b.controller.Update(float64(len(b.buffer)), len(out)))
	made, used := b.resampler.Process(out, b.buffer)
	b.buffer = append(b.buffer[:0], b.buffer[used:]...)
	if made < len(out) {
		b.result.underruns++
	}
	b.result.leastFill = min(b.result.leastFill, len(b.buffer))
	b.result.mostFill = max(b.result.mostFill, len(b.buffer))
}

// watch looks for steps everywhere, past the ringing of the tone's sudden
// start, and measures one second out of fifteen once the loop has settled.
func (b *bench) watch(out []float32, at float64) {
	own := 0.5 * b.omega() * b.omega()
	for _, v := range out {
		x := float64(v)
		if b.heard++; b.heard > 1000 {
			b.result.worstStep = max(b.result.worstStep, math.Abs(x-2*b.last+b.before)/own)
		}
		b.before, b.last = b.last, x
	}
	if at < 300 || int(at)%15 != 14 {
		b.stretch = b.stretch[:0]
		return
	}
	for _, v := range out {
		b.stretch = append(b.stretch, float64(v))
	}
	if len(b.stretch) >= b.rateHz/2 {
		f := b.hz * (1 + b.ppm*1e-6) / float64(b.rateHz)
		b.result.worstSINAD = min(b.result.worstSINAD, sinad(b.stretch, f))
		b.stretch = b.stretch[:0]
	}
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

// Seven minutes at clock differences of up to ±200 ppm, with callbacks late:
// nothing runs dry, nothing piles up, the tone stays clean. The rate is low so
// that time passes fast; the loop is the same at any rate.
func TestMinutesBetweenTwoClocks(t *testing.T) { betweenTwoClocks(t, 450, 0.003) }

func betweenTwoClocks(t *testing.T, seconds float64, jitters ...float64) {
	for _, ppm := range []float64{-200, 33, 200} {
		for _, jitter := range jitters {
			g := rig{rateHz: 8000, inBlock: 80, outBlock: 96, ppm: ppm, jitter: jitter, hz: 1000}
			t.Run(fmt.Sprintf("%g ppm, %g ms late", ppm, jitter*1000), func(t *testing.T) {
				t.Parallel()
				res := g.run(seconds)
				t.Logf("%+v", res)
				require.Zero(t, res.underruns)
				require.InDelta(t, target, res.leastFill, 500)
				require.InDelta(t, target, res.mostFill, 500)
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

// Blocks that come like clockwork: the fill tells nothing of the difference until
// one slips past a read, at 40 ppm every four minutes. What is told of it after
// half an hour is right all the same.
func TestClocksLikeClockwork(t *testing.T) {
	const block, rateHz = 480, 48000
	for _, ppm := range []float64{-120, -40, 5, 40, 120} {
		c, fill, written, worst, fewest := drift.New(rateHz, target), float64(target), 0, 0.0, math.Inf(1)
		for k := 1; k < 2*3600*rateHz/block; k++ {
			for ; float64(written) <= float64(k)*(1+ppm*1e-6)+0.5; written++ {
				fill += block
			}
			fill -= block * (1 + c.Update(fill, block)*1e-6)
			fewest = min(fewest, fill)
			if k*block > 1800*rateHz {
				worst = max(worst, math.Abs(c.DriftPPM()-ppm))
			}
		}
		t.Logf("%g ppm: told to %.1f ppm, fill never below %.0f frames", ppm, worst, fewest)
		require.Less(t, worst, 8.0)
		require.Positive(t, fewest)
	}
}
