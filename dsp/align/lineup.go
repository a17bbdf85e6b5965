package align

import (
	"math"
	"slices"

	"rollready/dsp/internal/fft"
)

const (
	lowHz, highHz = 300.0, 1200.0 // the waves are compared between these: over most high-passes
	clear         = 8.0           // a peak so many times the rms of a correlation is no chance
	nearS         = 0.005         // places this far off the common line do not agree
	unlike        = 0.75          // the other polarity fits so much worse
	faint         = 1e-7          // amplitude: what stays under it is silence
	leastDriftS   = 60.0          // between first and last place: less tells no drift
	leastAgreeing = 3             // places for a drift
)

// LineUp says how two recordings lie to each other.
type LineUp struct {
	LaterS   float64 // how much later the second began, by the first one's clock
	DriftPPM float64 // how much faster the second one's clock runs
	Drifts   bool    // the drift is known
	Inverted bool    // the second has the opposite polarity
	Agreeing int     // places at which the waves agree …
	Places   int     // … of so many compared
}

// match is what one place tells.
type match struct {
	atS, laterS float64
	inverted    bool
}

// Fine compares the waves at every place. ok is false where they agree
// nowhere: these are not two recordings of the same take.
func Fine(first, second *Waves) (l LineUp, ok bool) {
	var matches []match
	for i := range first.windows {
		x, startX := first.common(i)
		y, startY := second.common(i)
		if lag, inverted, clear := find(x, y); clear {
			matches = append(matches, match{startX, startX - startY - lag/commonHz, inverted})
		}
	}
	l.Places = len(first.windows)
	if len(matches) == 0 {
		return l, false
	}
	slope, level := line(matches)
	matches = slices.DeleteFunc(matches, func(m match) bool { return math.Abs(level+slope*m.atS-m.laterS) > nearS })
	l.Agreeing = len(matches)
	// The later a sound of the second seems to come, the slower its clock.
	if span := matches[len(matches)-1].atS - matches[0].atS; span >= leastDriftS && l.Agreeing >= leastAgreeing {
		slope, level = leastSquares(matches)
		l.DriftPPM, l.Drifts = -slope*1e6, true
	}
	l.LaterS = level
	if l.Drifts {
		l.LaterS = level / (1 - slope) // at the second one's own start
	}
	inverted := 0
	for _, m := range matches {
		if m.inverted {
			inverted++
		}
	}
	l.Inverted = 2*inverted > len(matches)
	return l, true
}

// find gives at how many samples into y the sound of x is found, and whether
// clearly. Only the phases are compared, so that filters do not matter.
func find(x, y []float64) (lag float64, inverted, isClear bool) {
	if peak(x) < faint || peak(y) < faint {
		return 0, false, false
	}
	size := 2
	for size < len(x)+len(y) {
		size *= 2
	}
	z := correlate(y, x, size, func(bin int, cross complex128) complex128 {
		hz := float64(bin) * commonHz / float64(size)
		magnitude := math.Hypot(real(cross), imag(cross))
		if hz < lowHz || hz > highHz || magnitude == 0 {
			return 0
		}
		return cross / complex(magnitude, 0)
	})
	z = z[:len(y)-len(x)+1]
	high, low, square := 0, 0, 0.0
	for i, v := range z {
		square += real(v) * real(v)
		if real(v) > real(z[high]) {
			high = i
		}
		if real(v) < real(z[low]) {
			low = i
		}
	}
	best := high
	if -real(z[low]) > real(z[high]) {
		best = low
	}
	// Filters turn the phase: both polarities then fit about as well.
	inverted = best == low && real(z[high]) < unlike*-real(z[low])
	rms := math.Sqrt(square / float64(len(z)))
	return float64(best) + fft.Between(z, best), inverted, math.Abs(real(z[best])) > clear*rms
}

func peak(x []float64) float64 { return max(slices.Max(x), -slices.Min(x)) }

// line gives the line through most of the matches: the median of the slopes
// between any two, which a few wrong ones do not move (Theil and Sen).
func line(matches []match) (slope, level float64) {
	var slopes, levels []float64
	for i, a := range matches {
		for _, b := range matches[i+1:] {
			slopes = append(slopes, (b.laterS-a.laterS)/(b.atS-a.atS))
		}
	}
	slope = median(slopes)
	for _, m := range matches {
		levels = append(levels, m.laterS-slope*m.atS)
	}
	return slope, median(levels)
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	return x[len(x)/2]
}

func leastSquares(matches []match) (slope, level float64) {
	var n, x, y, xx, xy float64
	for _, m := range matches {
		n, x, y, xx, xy = n+1, x+m.atS, y+m.laterS, xx+m.atS*m.atS, xy+m.atS*m.laterS
	}
	slope = (n*xy - x*y) / (n*xx - x*x)
	return slope, (y - slope*x) / n
}
