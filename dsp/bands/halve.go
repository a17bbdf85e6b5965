package bands

import "math"

// passHz is how far the halved stream is clean, as a share of its own rate:
// up to here nothing folds back that is not 85 dB down, and the response is
// flat within a millionth of a dB.
const passHz = 0.38

// Coefficients of an elliptic half-band low-pass as the sum of two chains of
// first-order all-passes at the halved rate, after Valenzuela and
// Constantinides (1983, from memory), computed for a passband to 0.19 of the
// full rate; the response is checked in the tests.
const (
	even1, even2, even3 = 0.05421752575519079, 0.3830873272909491, 0.7487209444364263
	odd1, odd2, odd3    = 0.1967979698143128, 0.5731364111480913, 0.9142937096850178
)

// halver halves the rate of a stream.
type halver struct {
	last    float64 // an odd sample that waits for its even one
	waiting bool
	odds    allPasses
	evens   allPasses
}

// run puts the halved stream of src into dst, which may be src, and gives the
// filled part.
func (h *halver) run(dst, src []float64) []float64 {
	n := 0
	if h.waiting && len(src) > 0 {
		h.pairs(dst, []float64{h.last, src[0]})
		n, src, h.waiting = 1, src[1:], false
	}
	whole := len(src) &^ 1
	h.pairs(dst[n:], src[:whole])
	n += whole / 2
	if whole < len(src) {
		h.last, h.waiting = src[whole], true
	}
	return dst[:n]
}

// pairs makes one sample of each odd and even one.
func (h *halver) pairs(dst, src []float64) {
	odds, evens := h.odds, h.evens
	for i := 0; i+1 < len(src); i += 2 {
		odds = odds.step(src[i], odd1, odd2, odd3)
		evens = evens.step(src[i+1], even1, even2, even3)
		dst[i/2] = 0.5 * (odds.y3 + evens.y3)
	}
	h.odds, h.evens = odds, evens
}

// settle clears states too small to matter before they become denormal.
func (h *halver) settle() {
	for _, a := range []*allPasses{&h.odds, &h.evens} {
		if math.Abs(a.x)+math.Abs(a.y1)+math.Abs(a.y2)+math.Abs(a.y3) < negligible {
			*a = allPasses{}
		}
	}
}

// allPasses is the memory of three all-passes in a row: the last input and
// the last output of each.
type allPasses struct{ x, y1, y2, y3 float64 }

// step runs x through them: y = c·(x − y1) + x1.
func (a allPasses) step(x, c1, c2, c3 float64) allPasses {
	y1 := c1*(x-a.y1) + a.x
	y2 := c2*(y1-a.y2) + a.y1
	return allPasses{x, y1, y2, c3*(y2-a.y3) + a.y2}
}
