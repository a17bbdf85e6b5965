package level

import "math"

const (
	octaves  = 7    // down to flatFloor
	rounding = 4e-7 // what float32 may add to a bend, of the level
)

// resolution is the smallest step of a signal in each octave of level: the same
// in all from a converter, half as large in the next from a telephone's code
// (ITU-T G.711).
type resolution struct {
	step   [octaves]float64
	coarse [octaves]bool // it may still turn out finer, and that would matter
}

func newResolution() (r resolution) {
	for i := range r.step {
		r.step[i], r.coarse[i] = math.Inf(1), true
	}
	return r
}

// octave counts down from full scale.
func octave(a float64) int {
	return max(0, min(1022-int(math.Float64bits(a)>>52), octaves-1))
}

// look takes a sample, its magnitude and the two before it. Any step, and any
// bend within the octave, is a multiple of the resolution.
func (r *resolution) look(x, a float64, last [2]float64) {
	o := octave(a)
	if !r.coarse[o] {
		return
	}
	floor := math.Exp2(float64(-o - 1))
	if math.Abs(last[0]) < floor || math.Abs(last[1]) < floor {
		return
	}
	for _, step := range [2]float64{math.Abs(x - last[0]), math.Abs(x - 2*last[0] + last[1])} {
		if step < r.step[o] && step > rounding*a {
			r.step[o] = step
		}
	}
	r.coarse[o] = r.step[o] > sharp/steps*floor
}

// at is the resolution at a level. In the next octave down it may be half.
func (r *resolution) at(a float64) float64 {
	o := octave(a)
	return min(r.step[o], 2*r.step[min(o+1, octaves-1)])
}
