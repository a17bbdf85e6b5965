package dailies

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"rollready/dsp/match"
)

const (
	warmthPPM = 1.0  // how far a camera's clock moves in a day, common practice, no source
	agreePPM  = 4.0  // standard errors within which clocks are the same
	oneClock  = 0.7  // of what is known must agree for a folder to be one camera's
	stepPPM   = 0.5  // of a learnt clock, so that one clip more does not move all others
	exactS    = 2e-5 // a clip whose ends are surer than that needs no help
)

// clock is what a fit says of the difference of the clocks.
type clock struct {
	clip             int
	ppm, variancePPM float64
}

// learnClocks gives short clips, which can't tell the difference of the clocks
// well by themselves, what all clips of the same camera tell together: a
// camera has one clock. Clips of one folder, rate and form are of one camera
// if their clocks agree.
func learnClocks(clips []Clip) {
	byCamera := map[string][]clock{}
	key := func(c Clip) string {
		return fmt.Sprint(filepath.Dir(c.Path), c.RateHz, c.Channels, c.Picture.Rate)
	}
	for i, c := range clips {
		for _, p := range c.Parts {
			if e := p.Fit.ErrorPPM; e > 0 && p.Fit.Agreeing > 2 {
				byCamera[key(c)] = append(byCamera[key(c)], clock{i, p.Fit.PPM, e*e + warmthPPM*warmthPPM})
			}
		}
	}
	for i := range clips {
		others := slices.DeleteFunc(slices.Clone(byCamera[key(clips[i])]), func(k clock) bool { return k.clip == i })
		learnt, ok := agreed(others)
		for n := range clips[i].Parts {
			if fit := &clips[i].Parts[n].Fit; ok && wants(*fit) {
				*fit = learnt.applied(*fit)
			}
		}
	}
}

// agreed is the mean of clocks that agree; ok is false where there is none, or
// more than one.
func agreed(all []clock) (mean clock, ok bool) {
	slices.SortFunc(all, func(a, b clock) int { return cmp.Compare(a.ppm, b.ppm) })
	whole, under := 0.0, 0.0
	for _, c := range all {
		whole += 1 / c.variancePPM
	}
	middle := clock{}
	for _, c := range all {
		if under += 1 / c.variancePPM; under >= whole/2 {
			middle = c
			break
		}
	}
	weights, sum := 0.0, 0.0
	for _, c := range all {
		if math.Abs(c.ppm-middle.ppm) <= agreePPM*math.Sqrt(c.variancePPM) {
			weights, sum = weights+1/c.variancePPM, sum+c.ppm/c.variancePPM
		}
	}
	if weights == 0 || weights < oneClock*whole {
		return mean, false
	}
	return clock{ppm: math.Round(sum/weights/stepPPM) * stepPPM, variancePPM: 1/weights + warmthPPM*warmthPPM}, true
}

// wants tells that a fit's clock is too unsure for its ends.
func wants(f match.Fit) bool {
	if len(f.PivotsS) == 0 {
		return false
	}
	reach := max(f.PivotsS[0]-f.FromS, f.ToS-f.PivotsS[len(f.PivotsS)-1])
	return f.ErrorPPM*1e-6*reach > exactS
}

// applied is a fit with what it says of its clock and what its camera's other
// clips say, each by its weight; as it is where they contradict each other.
func (k clock) applied(f match.Fit) match.Fit {
	own := f.ErrorPPM * f.ErrorPPM
	if math.Abs(f.PPM-k.ppm) > agreePPM*math.Sqrt(own+k.variancePPM) {
		return f
	}
	both := 1 / (1/own + 1/k.variancePPM)
	return f.WithClock(both*(f.PPM/own+k.ppm/k.variancePPM), math.Sqrt(both))
}
