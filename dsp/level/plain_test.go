package level

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/signal"
)

// plainTops finds flat tops sample by sample, without any short cut: what the
// fast finder must equal.
type plainTops flatTops

// push takes the next sample x and its amplitude a.
func (f *plainTops) push(x, a float64) {
	f.at++
	if a < flatFloor && f.top.run == 0 && f.left.run == 0 {
		f.last[1], f.last[0] = f.last[0], x
		return
	}
	f.follow(x, a)
	f.last[1], f.last[0] = f.last[0], x
}

func (f *plainTops) follow(x, a float64) {
	if bend := math.Abs(x - 2*f.last[0] + f.last[1]); bend < f.quantum && bend > rounding*a {
		f.quantum = bend // any bend of a signal of coarse resolution is a multiple of it
	}
	if f.left.run > 0 {
		f.judge(f.left, x)
		f.left = top{}
	}
	if c := f.ceiling(x); a > c.level+c.slack {
		*c = ceiling{}
	}
	if away := math.Abs(x - f.top.level); f.top.run > 0 && away <= equal*f.top.fall {
		f.top.run, f.top.uneven = f.top.run+1, max(f.top.uneven, away)
		return
	}
	f.left = f.ended(x)
	f.top = f.begin(x, a)
}

// ceiling is the one on the side of x.
func (f *plainTops) ceiling(x float64) *ceiling {
	if x < 0 {
		return &f.ceilings[1]
	}
	return &f.ceilings[0]
}

// ended gives the present top if it is long enough and x falls away from it.
func (f *plainTops) ended(x float64) top {
	t := f.top
	if t.run < flatRun || side(t.level)*(t.level-x) < 0 {
		return top{}
	}
	return t
}

// begin starts a top at x if the signal has risen to it steeply.
func (f *plainTops) begin(x, a float64) top {
	s := side(x)
	fall := s * (x - f.last[1])
	if a < flatFloor || a > flatHighest || fall < f.least(a) || s*(x-f.last[0]) <= 0 {
		return top{}
	}
	return top{run: 1, level: x, fall: fall}
}

// least is the smallest fall that makes a corner.
func (f *plainTops) least(a float64) float64 { return max(sharp*a, steps*f.quantum) }

// judge counts the top t if x, two samples after it, lies far enough below.
func (f *plainTops) judge(t top, x float64) {
	fall := side(t.level) * (t.level - x)
	level := math.Abs(t.level)
	if fall < f.least(level) || t.uneven > equal*fall {
		return
	}
	c := f.ceiling(t.level)
	switch fresh := f.at-c.at <= f.within; {
	case c.tops > 0 && fresh && math.Abs(level-c.level) <= c.slack:
		c.tops, c.at = c.tops+1, f.at
	case c.tops == 0 || !fresh || level > c.level:
		*c = ceiling{level: level, slack: min(ceilingSlack*level, t.fall/4), tops: 1, at: f.at}
	}
	f.tell(c)
}

// tell counts the tops of a ceiling once they recur.
func (f *plainTops) tell(c *ceiling) {
	switch {
	case c.at != f.at || c.tops < flatRecur:
	case c.tops == flatRecur:
		f.count += flatRecur
	default:
		f.count++
	}
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
		plain, clip := plainTops(newFlatTops(m.channels[0].flat.within)), clipRuns{}
		for _, v := range x {
			plain.push(finite(v), math.Abs(finite(v)))
			clip.push(math.Abs(finite(v)))
		}
		require.Equal(t, plain.count, m.FlatTops(0))
		require.Equal(t, clip.count, m.ClippedRuns(0))
		require.Equal(t, plain.last, m.channels[0].flat.last)
		require.Equal(t, plain.at, m.channels[0].flat.at)
		found += plain.count
	}
	require.Greater(t, found, int64(1000))
}
