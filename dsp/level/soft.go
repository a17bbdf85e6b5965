package level

import "math"

// Figures of the finder of soft clipping (common practice, no source, set by
// trial with computed voices).
const (
	softBins   = 80   // of half a dB, from full scale down
	softTop    = 2    // bins: the loudest dB …
	softMiddle = 6    // … against what lies 3 …
	softLow    = 18   // … to 9 dB lower
	softShare  = 0.06 // of all hops that are the loudest: it happens often
	softLess   = 1.8  // dB of crest factor that the loudest have less
	softLeast  = 50   // hops to judge from
)

// softTops tells soft clipping by the crest factor of hops. A voice's is about
// the same, or higher, when it is loud; a stage that bends peaks over squeezes
// it only there, and a limiter, which turns whole waves down, nowhere.
type softTops struct {
	hops  [softBins]float64
	crest [softBins]float64 // sums, dB
}

// push takes the peak and the mean square of a hop.
func (s *softTops) push(peak, meanSquare float64) {
	if peak < flatFloor || meanSquare == 0 {
		return
	}
	level := 20 * math.Log10(peak)
	bin := int(max(0, min(-2*level, softBins-1)))
	s.hops[bin]++
	s.crest[bin] += level - 10*math.Log10(meanSquare)
}

// found tells whether the loudest hops are squeezed.
func (s *softTops) found() bool {
	all, top := 0.0, 0
	for _, n := range s.hops {
		all += n
	}
	for above := 0.0; top < softBins-softLow; top++ {
		if above += s.hops[top]; above > 0.002*all {
			break
		}
	}
	loud, crest := s.sum(top, top+softTop)
	middle, usual := s.sum(top+softMiddle, top+softLow)
	return loud >= max(softShare*all, softLeast) && middle >= softLeast && crest/loud < usual/middle-softLess
}

func (s *softTops) sum(from, to int) (hops, crest float64) {
	for i := from; i < min(to, softBins); i++ {
		hops, crest = hops+s.hops[i], crest+s.crest[i]
	}
	return hops, crest
}

// fade lets what was count half.
func (s *softTops) fade() {
	for i := range s.hops {
		s.hops[i], s.crest[i] = s.hops[i]/2, s.crest[i]/2
	}
}
