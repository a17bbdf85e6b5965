package bands

import "math"

// negligible is the size under which a filter's memory is taken for silence:
// far under anything shown, far above the denormals that slow a processor.
const negligible = 1e-100

// lanes is how many bands run side by side.
const lanes = 4

// quad holds up to four bands of one stream: their filters and the powers of
// their outputs, lane by lane. Powers are those of the unscaled filters; scale
// brings them to full scale.
type quad struct {
	a1, a2 [sections][lanes]float64
	w1, w2 [sections][lanes]float64 // memory of the filters
	keep   [lanes]float64           // 1 − share, so that the sum waits for one product only
	share  [lanes]float64           // of a new sample in the time-weighted power
	square [lanes]float64           // time-weighted power
	top    [lanes]float64           // its highest since TakeMax
	energy [lanes]float64           // sum of all powers since the last reset
	max    [lanes]float64           // highest before top, since the last reset
	scale  [lanes]float64
}

// set puts a band into a lane.
func (q *quad) set(lane int, filter [sections]section, scale float64) {
	for s, f := range filter {
		q.a1[s][lane], q.a2[s][lane] = f.a1, f.a2
	}
	q.scale[lane] = scale
}

// run takes a stretch of the stream.
func (q *quad) run(x []float64) {
	if together {
		runTogether(q, x)
	} else {
		q.runEach(x)
	}
	q.settle()
}

// runEach takes a stretch through one band after the other. The four sections
// are independent of each other within a sample but for their input, so that
// the processor overlaps them.
func (q *quad) runEach(x []float64) {
	for b := range lanes {
		if q.scale[b] == 0 {
			continue // no band
		}
		a, c, d, e := q.a1[0][b], q.a1[1][b], q.a1[2][b], q.a1[3][b]
		f, g, h, i := q.a2[0][b], q.a2[1][b], q.a2[2][b], q.a2[3][b]
		p1, q1, r1, s1 := q.w1[0][b], q.w1[1][b], q.w1[2][b], q.w1[3][b]
		p2, q2, r2, s2 := q.w2[0][b], q.w2[1][b], q.w2[2][b], q.w2[3][b]
		square, top, energy, share, keep := q.square[b], q.top[b], q.energy[b], q.share[b], q.keep[b]
		for _, y := range x {
			v := y - f*p2 - a*p1
			y, p2, p1 = v-p2, p1, v
			v = y - g*q2 - c*q1
			y, q2, q1 = v-q2, q1, v
			v = y - h*r2 - d*r1
			y, r2, r1 = v-r2, r1, v
			v = y - i*s2 - e*s1
			y, s2, s1 = v-s2, s1, v
			y *= y
			energy += y
			square = keep*square + share*y
			if square > top {
				top = square
			}
		}
		q.w1[0][b], q.w1[1][b], q.w1[2][b], q.w1[3][b] = p1, q1, r1, s1
		q.w2[0][b], q.w2[1][b], q.w2[2][b], q.w2[3][b] = p2, q2, r2, s2
		q.square[b], q.top[b], q.energy[b] = square, top, energy
	}
}

func (q *quad) settle() {
	for b := range lanes {
		sum := 0.0
		for s := range sections {
			sum += math.Abs(q.w1[s][b]) + math.Abs(q.w2[s][b])
		}
		if sum < negligible {
			for s := range sections {
				q.w1[s][b], q.w2[s][b] = 0, 0
			}
		}
		if q.square[b] < negligible {
			q.square[b] = 0
		}
	}
}

// clear forgets what was heard.
func (q *quad) clear() {
	*q = quad{a1: q.a1, a2: q.a2, keep: q.keep, share: q.share, scale: q.scale}
}
