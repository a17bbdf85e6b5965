package mend

import "math"

// Join puts the take into the camera's sound over a whole stretch: it fades
// over in the first and the last frames so that the power of what is heard
// stays that of the two, however alike they are: the weights cos and sin are
// divided by √(cos² + sin² + 2·r·cos·sin), with r the correlation there. Both
// have the length of the stretch; cam is changed.
func Join(cam, take []float32, fade int) {
	fade = min(fade, len(cam)/2)
	head := alike(cam[:fade], take[:fade])
	tail := alike(cam[len(cam)-fade:], take[len(take)-fade:])
	for i := range cam {
		switch end := len(cam) - 1 - i; {
		case i < fade:
			cam[i] = over(cam[i], take[i], (float64(i)+0.5)/float64(fade), head)
		case end < fade:
			cam[i] = over(cam[i], take[i], (float64(end)+0.5)/float64(fade), tail)
		default:
			cam[i] = take[i]
		}
	}
}

func over(from, to float32, part, r float64) float32 {
	s, c := math.Sincos(math.Pi / 2 * part)
	n := math.Sqrt(1 + 2*r*s*c)
	return float32((c*float64(from) + s*float64(to)) / n)
}

// alike is the correlation of two stretches, not under 0.
func alike(x, y []float32) float64 {
	var xy, xx, yy float64
	for i, v := range x {
		a, b := float64(v), float64(y[i])
		xy, xx, yy = xy+a*b, xx+a*a, yy+b*b
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return max(0, xy/math.Sqrt(xx*yy))
}
