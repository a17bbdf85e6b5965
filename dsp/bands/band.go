package bands

import "math"

// negligible is the size under which a filter's memory is taken for silence:
// far under anything shown, far above the denormals that slow a processor.
const negligible = 1e-100

// band is the filter of one band and the powers of its output. Powers are
// those of the unscaled filter; power brings them to full scale.
type band struct {
	filter [sections]section
	power  float64
	w      [sections][2]float64 // memory of the filter
	share  float64              // of a new sample in the time-weighted power
	square float64              // time-weighted power
	top    float64              // its highest since TakeMax
	max    float64              // its highest before that, since the last reset
	energy float64              // sum of all powers since the last reset
}

// run takes a stretch of the band's stream. The four sections are
// independent of each other within a sample but for their input, so that the
// processor overlaps them.
func (b *band) run(x []float64) {
	f, w := &b.filter, &b.w
	p1, p2, q1, q2 := w[0][0], w[0][1], w[1][0], w[1][1]
	r1, r2, s1, s2 := w[2][0], w[2][1], w[3][0], w[3][1]
	square, top, energy, share := b.square, b.top, b.energy, b.share
	keep := 1 - share // so that the sum below waits for one product only
	for _, y := range x {
		v := y - f[0].a2*p2 - f[0].a1*p1
		y, p2, p1 = v-p2, p1, v
		v = y - f[1].a2*q2 - f[1].a1*q1
		y, q2, q1 = v-q2, q1, v
		v = y - f[2].a2*r2 - f[2].a1*r1
		y, r2, r1 = v-r2, r1, v
		v = y - f[3].a2*s2 - f[3].a1*s1
		y, s2, s1 = v-s2, s1, v
		y *= y
		energy += y
		square = keep*square + share*y
		if square > top {
			top = square
		}
	}
	b.w = [sections][2]float64{{p1, p2}, {q1, q2}, {r1, r2}, {s1, s2}}
	b.square, b.top, b.energy = square, top, energy
	b.settle()
}

func (b *band) settle() {
	sum := 0.0
	for _, w := range b.w {
		sum += math.Abs(w[0]) + math.Abs(w[1])
	}
	if sum < negligible {
		b.w = [sections][2]float64{}
	}
	if b.square < negligible {
		b.square = 0
	}
}
