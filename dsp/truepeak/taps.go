package truepeak

// taps are the first two phases of the 48-tap, 4-phase interpolator of ITU-R
// BS.1770-5 Annex 2, in units of 1/8192. Phase 3 is phase 0 backwards, phase 2
// is phase 1 backwards.
var taps = [2][tapCount]float64{
	{14, 90, -161, 272, -487, 1125, 7964, -838, 390, -218, 122, -68},
	{-239, 240, -424, 730, -1364, 3810, 6388, -1641, 832, -477, 271, -155},
}

// Phase gives the taps of phase 0 or 1 of the printed filter. Phase 3 is phase
// 0 backwards, phase 2 is phase 1 backwards.
func Phase(p int) (h [tapCount]float64) {
	for t := range h {
		h[t] = taps[p][t] / tapScale
	}
	return h
}

const (
	tapCount  = 12
	tapScale  = 8192
	halfTaps  = tapCount / 2
	history   = tapCount - 1
	outerPair = 0 // taps index of phases 0 and 3
	innerPair = 1 // taps index of phases 1 and 2
)

// pair computes a phase and its mirror image at once. With the window split
// into sums and differences of samples equally far from its middle, the one
// phase is even + odd and the other even − odd, so the greater magnitude of
// the two is |even| + |odd|.
type pair struct {
	even, odd   [halfTaps]float64
	evens, odds [halfTaps][4]float64 // the same for four windows at once
}

func newPair(phase int) pair {
	var p pair
	h := Phase(phase)
	for t := range halfTaps {
		a, b := h[t], h[history-t]
		p.even[t], p.odd[t] = (a+b)/2, (a-b)/2
		for w := range p.evens[t] {
			p.evens[t][w], p.odds[t][w] = p.even[t], p.odd[t]
		}
	}
	return p
}

// gain is the greatest factor by which the pair can exceed its window's peak.
func (p *pair) gain() float64 {
	sum := 0.0
	for t := range halfTaps {
		sum += abs(p.even[t]+p.odd[t]) + abs(p.even[t]-p.odd[t])
	}
	return sum
}
