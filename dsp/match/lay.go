package match

import (
	"cmp"
	"math"
	"slices"
)

const (
	layTries = 12   // places at which two recordings may lie to each other
	laySameS = 0.06 // two places this near are one
)

// Lay finds how a clip lies in a take, of which nothing is known but their
// prints and waves. ok is false where they hold no common sound.
func Lay(clipPrint, takePrint Print, clip, take Recording) (fit Fit, ok bool, err error) {
	var x Index
	x.Add(0, takePrint)
	hits := NewSearcher().Search(&x, clipPrint)
	slices.SortFunc(hits, func(a, b Hit) int { return cmp.Compare(b.Z, a.Z) })
	var tried []float64
	for _, h := range hits {
		if len(tried) == layTries || slices.ContainsFunc(tried, func(at float64) bool { return math.Abs(at-h.LagS) < laySameS }) {
			continue
		}
		tried = append(tried, h.LagS)
		f, err := Try(clip, take, h.LagS)
		if err != nil {
			return fit, false, err
		}
		if f.Belongs() && f.explains() > fit.explains() {
			fit = f
		}
	}
	if fit.Agreeing == 0 {
		return fit, false, nil
	}
	fit, err = Align(clip, take, fit)
	return fit, err == nil, err
}

// explains is how much of the clip a fit makes clear, in seconds: a sound that
// comes again fits elsewhere too, but in a shorter part.
func (f Fit) explains() float64 {
	return f.Strength * float64(f.Agreeing) / float64(max(1, f.Places)) * (f.ToS - f.FromS)
}
