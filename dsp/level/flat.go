package level

import "math"

// Figures of the flat-top finder (common practice, no source).
const (
	flatRun      = 4     // successive equal samples that make a flat top
	flatRecur    = 3     // flat tops at the same level that make a finding
	recurSeconds = 2.0   // time between two of them at most
	flatFloor    = 0.01  // −40 dBFS: nothing is looked for below
	flatHighest  = 0.944 // −0.5 dBFS: nearer to full scale it is our own clipping
	sharp        = 0.005 // least fall within two samples at either end, of the level
	steps        = 8     // the same in steps of the signal's resolution
	rounding     = 4e-7  // what float32 may add to a bend, of the level
	equal        = 0.05  // most unevenness of the top, of that fall
	ceilingSlack = 0.01  // two tops this near, of the level, are at the same ceiling
)

// flatTops counts recurring flat tops. A flat top is a run of equal extreme
// samples with a corner at both ends: the signal falls away from it steeply,
// where a rounded top, and one that is only flat for want of resolution, falls
// slowly. It recurs where further tops stop at the same ceiling and nothing
// goes beyond. Equal allows for the noise of a converter after the clipping.
type flatTops struct {
	within   int64 // frames between two tops at most
	at       int64
	last     [2]float64 // the two samples before, newest first
	quantum  float64    // the resolution: smallest bend between three samples
	top      top        // being followed; run 0: none
	left     top        // ended at the last sample, its end not yet judged
	ceilings [2]ceiling // of positive and negative tops
	count    int64
}

// top is a run of equal samples.
type top struct {
	run    int
	level  float64 // of its first sample, signed
	uneven float64 // largest distance of a sample from that level
	fall   float64 // from it to two samples before
}

// ceiling is the level at which tops recur.
type ceiling struct {
	level, slack float64
	tops         int
	at           int64
}

func newFlatTops(within int64) flatTops { return flatTops{within: within, quantum: math.Inf(1)} }

// process takes the samples of one channel, whose peak is known.
func (f *flatTops) process(block []float32, first, stride int, peak float64) {
	if f.idle() && peak < flatFloor {
		f.pass(block, first, stride)
		return
	}
	for i := first; i < len(block); i += stride {
		x := finite(block[i])
		f.at++
		if a := math.Abs(x); a >= flatFloor || !f.idle() {
			f.follow(x, a)
		}
		f.last[1], f.last[0] = f.last[0], x
	}
}

// idle tells that no top is being followed.
func (f *flatTops) idle() bool { return f.top.run == 0 && f.left.run == 0 }

// pass takes samples in which nothing is looked for.
func (f *flatTops) pass(block []float32, first, stride int) {
	frames := (len(block) - first + stride - 1) / stride
	f.at += int64(frames)
	for i := first + max(0, frames-2)*stride; i < len(block); i += stride {
		f.last[1], f.last[0] = f.last[0], finite(block[i])
	}
}

// fine is the resolution from which on it plays no part, whatever the level.
const fine = sharp * flatFloor / steps

func (f *flatTops) follow(x, a float64) {
	if f.quantum > fine {
		f.resolve(x, a)
	}
	if f.left.run > 0 {
		f.judge(f.left, x)
		f.left.run = 0
	}
	if c := f.ceiling(x); c.tops > 0 && a > c.level+c.slack {
		*c = ceiling{}
	}
	if f.top.run > 0 {
		if away := math.Abs(x - f.top.level); away <= equal*f.top.fall {
			f.top.run++
			f.top.uneven = max(f.top.uneven, away)
			return
		}
		f.end(x)
	}
	f.begin(x, a)
}

// resolve looks for a finer resolution: any bend of a signal of coarse
// resolution is a multiple of it.
func (f *flatTops) resolve(x, a float64) {
	if bend := math.Abs(x - 2*f.last[0] + f.last[1]); bend < f.quantum && bend > rounding*a {
		f.quantum = bend
	}
}

// ceiling is the one on the side of x.
func (f *flatTops) ceiling(x float64) *ceiling {
	if x < 0 {
		return &f.ceilings[1]
	}
	return &f.ceilings[0]
}

// end closes the present top; it is kept if it is long enough and x falls
// away from it.
func (f *flatTops) end(x float64) {
	if f.top.run >= flatRun && side(f.top.level)*(f.top.level-x) >= 0 {
		f.left = f.top
	}
	f.top.run = 0
}

// begin starts a top at x if the signal has risen to it steeply.
func (f *flatTops) begin(x, a float64) {
	s := side(x)
	fall := s * (x - f.last[1])
	if s*(x-f.last[0]) > 0 && a >= flatFloor && a <= flatHighest && fall >= f.least(a) {
		f.top = top{run: 1, level: x, fall: fall}
	}
}

// least is the smallest fall that makes a corner.
func (f *flatTops) least(a float64) float64 {
	if coarse := steps * f.quantum; coarse > sharp*a {
		return coarse
	}
	return sharp * a
}

// judge counts the top t if x, two samples after it, lies far enough below.
func (f *flatTops) judge(t top, x float64) {
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
func (f *flatTops) tell(c *ceiling) {
	switch {
	case c.at != f.at || c.tops < flatRecur:
	case c.tops == flatRecur:
		f.count += flatRecur
	default:
		f.count++
	}
}

func side(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}
