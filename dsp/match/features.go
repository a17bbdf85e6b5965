package match

import (
	"math"
	"slices"

	"rollready/dsp/db"
)

const (
	stepsPerSecond = 25   // of the features: two hops each
	aroundSteps    = 15   // on either side: what is steady for longer than that is taken off
	mostDB         = 12.0 // a movement beyond it counts as this much
	floorShare     = 0.2  // of the hops lie under the floor of a band
	overFloor      = 4.0  // dB: what lies lower is the room
)

// features are the movements of the levels, two bands in one complex number:
// free of gain, of steady noise and of an automatic level that is slow.
type features struct {
	steps  int
	x      [bands / 2][]complex64
	energy []float64 // sums of squares before each step
}

func newFeatures(p Print) *features {
	f := &features{steps: p.Len() * stepsPerSecond / HopsPerSecond}
	moves := make([]float64, f.steps)
	for b := range bands {
		movements(moves, p, b)
		if b%2 == 0 {
			f.x[b/2] = make([]complex64, f.steps)
		}
		for i, v := range moves {
			if b%2 == 0 {
				f.x[b/2][i] = complex(float32(v), 0)
			} else {
				f.x[b/2][i] += complex(0, float32(v))
			}
		}
	}
	f.sumUp()
	return f
}

func (f *features) sumUp() {
	f.energy = make([]float64, f.steps+1)
	for i := range f.steps {
		sum := 0.0
		for _, x := range f.x {
			re, im := float64(real(x[i])), float64(imag(x[i]))
			sum += re*re + im*im
		}
		f.energy[i+1] = f.energy[i] + sum
	}
}

// movements puts how far the level of a band lies over its mean around.
func movements(dst []float64, p Print, band int) {
	floor := db.ToPower(floorDB(p, band) + overFloor)
	sums := make([]float64, len(dst)+1)
	for i := range dst {
		both := db.ToPower(p.bandDB(2*i, band)) + db.ToPower(p.bandDB(2*i+1, band))
		dst[i] = db.FromPower(both/2 + floor)
		sums[i+1] = sums[i] + dst[i]
	}
	for i := range dst {
		from, to := max(0, i-aroundSteps), min(len(dst), i+aroundSteps+1)
		mean := (sums[to] - sums[from]) / float64(to-from)
		dst[i] = max(-mostDB, min(mostDB, dst[i]-mean))
	}
}

// floorDB is the level of the room in a band.
func floorDB(p Print, band int) float64 {
	var counts [256]int
	for i := range p.Len() {
		counts[p.Hops[i*perHop+band]]++
	}
	under := 0
	for b, n := range counts {
		if under += n; float64(under) > floorShare*float64(p.Len()) {
			return level(uint8(b))
		}
	}
	return lowDB
}

// Activity is how far, in dB, the voice stands over the room, hop by hop: the
// mean of the bands.
func Activity(p Print) []float32 {
	sums := make([]float32, p.Len())
	for b := range bands {
		floor := floorDB(p, b)
		for i := range sums {
			sums[i] += float32(max(0, p.bandDB(i, b)-floor-overFloor)) / bands
		}
	}
	return sums
}

// places gives the moments, in seconds of the clip, at which both are most
// active, at most one in every stretch of everyS, the given span of each.
func places(clip, take []float32, l Fit, everyS, spanS float64) []float64 {
	span := int(spanS * HopsPerSecond)
	from, to := int(l.FromS*HopsPerSecond), int(l.ToS*HopsPerSecond)-span
	step := max(1, int(everyS*HopsPerSecond))
	var found []float64
	for cell := from; cell <= max(from, to); cell += step {
		best, most := cell, -1.0
		for at := cell; at <= min(to, cell+step-1); at += max(1, span/8) {
			if a := common(clip, take, at, l, span); a > most {
				best, most = at, a
			}
		}
		if most > leastActive || cell == from && to < from {
			found = append(found, float64(best)/HopsPerSecond)
		}
	}
	return found
}

// leastActive is the mean activity, in dB, under which nothing can be compared.
const leastActive = 0.7

// common is the mean of what both hold of activity from a hop on.
func common(clip, take []float32, at int, l Fit, span int) float64 {
	sum, shift := 0.0, int(math.Round(l.TakeS(float64(at)/HopsPerSecond)*HopsPerSecond))-at
	for i := max(0, at); i < min(at+span, len(clip)); i++ {
		if k := i + shift; k >= 0 && k < len(take) {
			sum += float64(min(clip[i], take[k]))
		}
	}
	return sum / float64(max(1, span))
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	y := slices.Clone(x)
	slices.Sort(y)
	return y[len(y)/2]
}
