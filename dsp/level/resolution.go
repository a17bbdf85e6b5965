package level

import "math"

const (
	octaves   = 7       // down to flatFloor
	looks     = 1 << 14 // samples of an octave that show its resolution
	rounding  = 4e-7    // what float32 may add to a bend, of the level
	rewritten = 3e-7    // what writing it again with 24 bits may add
)

// resolution is the smallest step of a signal in each octave of level: the same
// in all from a converter, half as large in the next from a telephone's code
// (ITU-T G.711).
type resolution struct {
	step [octaves]float64
	left [octaves]int // looks until it is known
}

func newResolution() (r resolution) {
	for i := range r.step {
		r.step[i], r.left[i] = math.Inf(1), looks
	}
	return r
}

// octave counts down from full scale.
func octave(a float64) int {
	return max(0, min(1022-int(math.Float64bits(a)>>52), octaves-1))
}

// learns tells whether a look at this magnitude still tells something.
func (r *resolution) learns(a float64) bool { return r.left[octave(a)] > 0 }

// look takes a sample, its magnitude and the two before it. Any step, and any
// bend within the octave on one side, is a multiple of the resolution.
func (r *resolution) look(x, a float64, last [2]float64) {
	if o := octave(a); r.left[o] > 0 {
		r.learn(o, x, a, last)
	}
}

func (r *resolution) learn(o int, x, a float64, last [2]float64) {
	r.left[o]--
	floor := 1 / float64(int(2)<<o)
	if s := side(x); s*last[0] < floor || s*last[1] < floor {
		return
	}
	for _, step := range [2]float64{math.Abs(x - last[0]), math.Abs(x - 2*last[0] + last[1])} {
		if step < r.step[o] && step > rounding*a+rewritten {
			r.step[o] = step
		}
	}
	if r.step[o] <= sharp/steps*floor {
		r.left[o] = 0 // finer ones play no part
	}
}

// at is the resolution at a level. In the next octave down it may be half.
func (r *resolution) at(a float64) float64 {
	o := octave(a)
	return min(r.step[o], 2*r.step[min(o+1, octaves-1)])
}
