package survey

import "math"

// maxPoints bounds a line over time: when it is full, two points become one.
const maxPoints = 2000

// line follows a level over time in flat memory; each point is the highest of
// its hops.
type line struct {
	points []float64
	each   int // hops per point
	hops   int // in the last point
}

func newLine() line { return line{points: make([]float64, 0, maxPoints), each: 1} }

func (l *line) push(level float64) {
	if l.hops == 0 {
		if len(l.points) == maxPoints {
			l.halve()
		}
		l.points = append(l.points, math.Inf(-1))
	}
	last := &l.points[len(l.points)-1]
	*last = max(*last, level)
	l.hops = (l.hops + 1) % l.each
}

// halve makes one point of two.
func (l *line) halve() {
	for i := range maxPoints / 2 {
		l.points[i] = max(l.points[2*i], l.points[2*i+1])
	}
	l.points = l.points[:maxPoints/2]
	l.each *= 2
}
