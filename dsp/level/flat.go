package level

import "math"

// Figures of the flat-top finder (common practice, no source).
const (
	flatRun      = 4     // successive equal samples that make a flat top
	flatRecur    = 3     // flat tops at the same level that make a finding
	leanRecur    = 6     // the same for tops that lean
	recurSeconds = 2.0   // time between two of them at most
	flatFloor    = 0.01  // −40 dBFS: nothing is looked for below
	leanHz       = 30.0  // a capacitor behind the clipping makes tops sink towards zero as a high-pass of this does at most
	leanAlike    = 0.3   // all at about the same rate
	coarse       = 0.025 // resolution, of the level, that is too coarse to tell a ceiling
	leanRange    = 20.0  // down to so much less
	leanSlack    = 0.35  // and at levels that wander so far
	sharp        = 0.005 // least fall within two samples at either end, of the level
	steps        = 8     // the same in steps of the signal's resolution
	equal        = 0.05  // most unevenness of the top, of that fall
	farUnderDB   = 20.0  // under the highest peak
	ceilingSlack = 0.01  // two tops this near, of the level, are at the same ceiling
)

// flatTops counts recurring flat tops. A flat top is a run of equal extreme
// samples with a corner at both ends: the signal falls away from it steeply,
// where a rounded top, and one that is only flat for want of resolution, falls
// slowly. It recurs where further tops stop at the same ceiling and nothing
// goes beyond. Equal allows for the noise of a converter after the clipping. A
// top may also lean: a capacitor after the clipping lets every top sink towards
// zero at one rate, while their levels wander.
type flatTops struct {
	within   int64   // frames between two tops at most
	steepest float64 // a lean, per frame
	at       int64
	last     [2]float64 // the two samples before, newest first
	steps    resolution
	top      top        // being followed; run 0: none
	left     top        // ended at the last sample, its end not yet judged
	ceilings [2]ceiling // of positive and negative tops
	lowest   float64    // magnitude above which one of them may end
	leaning  leaning
	count    int64
	heights  float64 // sum of the levels of the tops counted
}

// top is a run of samples on a line.
type top struct {
	run    int
	level  float64 // of its first sample, signed
	last   float64 // and its last
	uneven float64 // largest distance of a sample from the line
	fall   float64 // from it to two samples before
}

// sunk is how far a top has come down.
func (t *top) sunk() float64 { return side(t.level) * (t.level - t.last) }

// lean is how far a top comes down per frame, of its level.
func (t *top) lean() float64 { return t.sunk() / float64(t.run-1) / math.Abs(t.level) }

// ceiling is the level at which tops recur.
type ceiling struct {
	level, slack float64
	tops         int
	at           int64
}

// leaning is the rate at which tops recur that sink, and their level.
type leaning struct {
	rate, level float64
	tops        int
	at          int64
}

func newFlatTops(rateHz int) flatTops {
	return flatTops{within: int64(recurSeconds * float64(rateHz)), steepest: 2 * math.Pi * leanHz / float64(rateHz), steps: newResolution(), lowest: math.Inf(1)}
}

// counted is the same finder with nothing counted yet.
func (f *flatTops) counted() flatTops {
	return flatTops{within: f.within, steepest: f.steepest, steps: f.steps, lowest: math.Inf(1)}
}

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
			if a > f.lowest || !f.idle() || f.steps.learns(a) {
				f.follow(x, a)
			}
			// A top that the next sample leaves again is none.
			if next := i + stride; f.rises(x) && (next >= len(block) || f.stays(x, finite(block[next]))) {
				f.begin(x, a)
			}
		}
		f.last[1], f.last[0] = f.last[0], x
	}
}

// rises tells whether a top may begin at x.
func (f *flatTops) rises(x float64) bool { return f.top.run == 0 && x*(x-f.last[0]) > 0 }

// stays tells whether the sample after x may be on a top that begins at x.
func (f *flatTops) stays(x, next float64) bool {
	return math.Abs(next-x) <= equal*math.Abs(x-f.last[1])+f.steepest*math.Abs(x)
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

func (f *flatTops) follow(x, a float64) {
	f.steps.look(x, a, f.last)
	if f.left.run > 0 {
		f.judge(f.left, x)
		f.left.run = 0
	}
	if c := f.ceiling(x); c.tops > 0 && a > c.level+c.slack {
		*c = ceiling{}
		f.lower()
	}
	if f.top.run > 0 && !f.goesOn(x) {
		f.end(x)
	}
}

// lower finds the lowest ceiling.
func (f *flatTops) lower() {
	f.lowest = math.Inf(1)
	for _, c := range f.ceilings {
		if c.tops > 0 {
			f.lowest = min(f.lowest, c.level+c.slack)
		}
	}
}

// goesOn takes x into the present top if it lies on its line.
func (f *flatTops) goesOn(x float64) bool {
	t := &f.top
	want := t.last
	if t.run > 1 {
		want -= (t.level - t.last) / float64(t.run-1)
	}
	away := math.Abs(x - want)
	if t.run == 1 && side(t.level)*(t.level-x) > 0 {
		away = max(0, away-f.steepest*math.Abs(x))
	}
	if away > equal*t.fall {
		return false
	}
	t.run++
	t.last = x
	t.uneven = max(t.uneven, away)
	return true
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
	full := max(math.Abs(f.top.level), math.Abs(f.top.last)) >= full16
	if f.top.run >= flatRun && !full && side(f.top.level)*(f.top.last-x) >= 0 {
		f.left = f.top
	}
	f.top.run = 0
}

// begin starts a top at x if the signal has risen to it steeply. At full scale
// it is a clipped run instead.
func (f *flatTops) begin(x, a float64) {
	if f.top.run > 0 {
		return // x goes on with one
	}
	s := side(x)
	fall := s * (x - f.last[1])
	if s*(x-f.last[0]) > 0 && a >= flatFloor && a < full16 && fall >= f.least(a) {
		f.top = top{run: 1, level: x, last: x, fall: fall}
	}
}

// least is the smallest fall that makes a corner.
func (f *flatTops) least(a float64) float64 { return max(sharp*a, steps*f.steps.at(a)) }

// judge counts the top t if x, two samples after it, lies far enough below.
func (f *flatTops) judge(t top, x float64) {
	fall := side(t.level) * (t.last - x)
	if fall < f.least(math.Abs(t.level)) || t.uneven > equal*fall {
		return
	}
	if f.steps.at(math.Abs(t.level)) > coarse*math.Abs(t.level) {
		return // tops of so few steps are often at the same one
	}
	before := f.count
	if math.Abs(t.sunk()) <= equal*min(fall, t.fall) {
		f.recur(t)
	}
	if f.count == before {
		f.lean(t)
	}
	f.heights += float64(f.count-before) * math.Abs(t.level)
}

// recur counts tops that stop at one ceiling.
func (f *flatTops) recur(t top) {
	c, level := f.ceiling(t.level), math.Abs(t.level)
	switch fresh := f.at-c.at <= f.within; {
	case c.tops > 0 && fresh && math.Abs(level-c.level) <= c.slack:
		c.tops, c.at = c.tops+1, f.at
	case c.tops == 0 || !fresh || level > c.level:
		*c = ceiling{level: level, slack: min(ceilingSlack*level, t.fall/4), tops: 1, at: f.at}
		f.lower()
	}
	if c.at == f.at {
		f.tell(c.tops, flatRecur)
	}
}

// lean counts tops that sink at one rate.
func (f *flatTops) lean(t top) {
	rate, level, c := t.lean(), math.Abs(t.level), &f.leaning
	if rate < f.steepest/leanRange || rate > f.steepest {
		return
	}
	alike := math.Abs(rate-c.rate) <= leanAlike*c.rate && math.Abs(level-c.level) <= leanSlack*c.level
	switch fresh := f.at-c.at <= f.within; {
	case c.tops > 0 && fresh && alike:
		n := min(float64(c.tops), 8)
		c.rate, c.level = c.rate+(rate-c.rate)/(n+1), c.level+(level-c.level)/(n+1)
		c.tops, c.at = c.tops+1, f.at
	case !fresh || c.tops < 2:
		*c = leaning{rate, level, 1, f.at}
	default:
		c.tops-- // one that does not fit
		return
	}
	f.tell(c.tops, leanRecur)
}

// tell counts tops once so many have recurred.
func (f *flatTops) tell(tops, least int) {
	switch {
	case tops == least:
		f.count += int64(least)
	case tops > least:
		f.count++
	}
}

func side(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}
