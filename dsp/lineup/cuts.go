package lineup

import (
	"math"

	"rollready/dsp/filter"
)

// designHz is the sample rate cutoffs are fitted at; the filters' shape below
// 20 kHz hardly depends on it.
const designHz = 96000

// lowCut fits the camera's own high-pass to the response below 1 kHz.
func lowCut(response []Point) Cut {
	return fit(response, 20, 1000, 10, 500, filter.HighPass)
}

// highCut fits the low-pass of the camera or its codec above 1 kHz.
func highCut(response []Point) Cut {
	return fit(response, 1000, 20000, 2500, 22000, filter.LowPass)
}

// fit tries every slope and cutoffs a twelfth of an octave apart against the
// points of a range, and takes the least sum of squares; no filter where that
// does about as well.
func fit(response []Point, fromHz, toHz, lowest, highest float64, design func(filter.Cut, int) []filter.Biquad) Cut {
	var points []Point
	for _, p := range response {
		if p.Hz >= fromHz && p.Hz <= toHz && p.LevelDB > -30 {
			points = append(points, p)
		}
	}
	best, least := Cut{}, misfit(points, nil)-0.2
	for _, slope := range filter.Slopes[1:] {
		for hz := lowest; hz <= highest; hz *= math.Pow(2, 1.0/12) {
			sections := design(filter.Cut{Hz: hz, Slope: slope}, designHz)
			if m := misfit(points, sections); m < least {
				best, least = Cut{Hz: math.Round(hz), Slope: slope}, m
			}
		}
	}
	return best
}

func misfit(points []Point, sections []filter.Biquad) float64 {
	reference, sum := filter.ResponseDB(sections, 1000, designHz), 0.0
	for _, p := range points {
		d := p.LevelDB - filter.ResponseDB(sections, p.Hz, designHz) + reference
		sum += d * d
	}
	return sum
}
