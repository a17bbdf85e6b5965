package match

import (
	"math"
	"slices"
)

// Fit is how a clip lies in a take. A plain value.
type Fit struct {
	OffsetS  float64 `json:"offset_s"`        // when the clip began, in seconds of the take; may be negative
	PPM      float64 `json:"clock_ppm"`       // how much faster the take's clock runs
	ErrorPPM float64 `json:"clock_error_ppm"` // standard error of PPM
	Inverted bool    `json:"inverted"`        // the take has the opposite polarity
	FromS    float64 `json:"from_s"`          // the part of the clip that the take covers …
	ToS      float64 `json:"to_s"`            // … in seconds of the clip
	Agreeing int     `json:"agreeing_places"` // places at which the waves agree …
	Places   int     `json:"compared_places"` // … of so many compared
	Strength float64 `json:"strength"`        // how alike the waves are at these, 1: the same
	Evidence float64 `json:"evidence"`        // sum of what the agreeing places tell, each for 1.5 s
	SpreadS  float64 `json:"spread_s"`        // rms of how far they lie off the line
	Jumps    []Jump  `json:"jumps"`           // where one of the two lost time

	// Around these moments of the clip, one for each part between jumps, lie
	// the places that agree: there the offset does not hang on the clock.
	PivotsS []float64 `json:"pivots_s"`
}

// Jump is a place from which on the clip's own sound lies elsewhere: it lost
// so much sound there, or, negative, has so much too many.
type Jump struct {
	AtS   float64 `json:"at_s"` // of the clip
	LostS float64 `json:"lost_s"`
}

// TakeS gives the moment of the take that belongs to one of the clip, as the
// clip's picture runs: jumps of its sound do not count.
func (f Fit) TakeS(clipS float64) float64 { return f.OffsetS + clipS*(1+f.PPM*1e-6) }

// WithClock is the fit with another difference of the clocks, of such a
// standard error, laid through the same places.
func (f Fit) WithClock(ppm, errorPPM float64) Fit {
	turn := (f.PPM - ppm) * 1e-6
	if len(f.PivotsS) != len(f.Jumps)+1 {
		return f
	}
	f.PPM, f.ErrorPPM = ppm, errorPPM
	f.OffsetS += turn * f.PivotsS[0]
	f.Jumps = slices.Clone(f.Jumps)
	for i := range f.Jumps {
		f.Jumps[i].LostS += turn * (f.PivotsS[i+1] - f.PivotsS[i])
	}
	return f
}

const (
	leastEvidence = 20.0
	leastShare    = 0.3 // of the places must agree …
	jumpedShare   = 0.7 // … more where jumps string together what may be chance
	jumpEveryS    = 30.0
	sanePPM       = 250.0
)

// Belongs tells whether the two hold the same sound: their waves agree at so
// many places that it can be no chance.
func (f Fit) Belongs() bool {
	share := float64(f.Agreeing) / float64(max(1, f.Places))
	if n := float64(len(f.Jumps)); n > 0 && (share < jumpedShare || n > 1+(f.ToS-f.FromS)/jumpEveryS) || math.Abs(f.PPM) > sanePPM {
		return false
	}
	return f.Agreeing > 0 && f.Evidence >= leastEvidence && float64(f.Agreeing) >= leastShare*float64(f.Places)
}

// soundS is TakeS as the clip's sound runs.
func (f Fit) soundS(clipS float64) float64 {
	for _, j := range f.Jumps {
		if clipS >= j.AtS {
			f.OffsetS += j.LostS
		}
	}
	return f.TakeS(clipS)
}

// cover notes the part of the clip that the take covers.
func (f *Fit) cover(clipS, takeS float64) {
	rate := 1 + f.PPM*1e-6
	f.FromS = min(clipS, max(0, -f.OffsetS/rate))
	f.ToS = max(f.FromS, min(clipS, (takeS-f.OffsetS)/rate))
}

// point is what one place tells: at a moment of the clip the take lies so much
// later than the line that was expected.
type point struct {
	atS, lateS float64
	peak       peak
	part       int // between which jumps
}

const (
	mostPPM    = 400.0  // no real clock is farther off
	priorPPM   = 50.0   // what is likely where too little sound is there to tell
	jumpS      = 0.0008 // a line that goes on elsewhere by so much has jumped
	outlierS   = 0.0015 // for one place alone
	neighbours = 6      // places whose slopes are compared
)

// slope gives the median of the slopes between places not far from each other,
// which neither a few wrong ones nor jumps move (after Theil and Sen).
func slope(points []point) float64 {
	var slopes []float64
	for i, a := range points {
		for _, b := range points[i+1 : min(len(points), i+1+neighbours)] {
			if s := (b.lateS - a.lateS) / (b.atS - a.atS); math.Abs(s) < 2*mostPPM*1e-6 {
				slopes = append(slopes, s)
			}
		}
	}
	return median(slopes)
}

// split tells the parts between jumps and throws out what lies alone.
func split(points []point, slope float64) (kept []point, parts int) {
	var run []point // the places that agree with each other, newest last
	var open []point
	off := func(p point, with []point) float64 {
		var r []float64
		for _, q := range with[max(0, len(with)-5):] {
			r = append(r, q.lateS-slope*q.atS)
		}
		return math.Abs(p.lateS - slope*p.atS - median(r))
	}
	for _, p := range points {
		switch {
		case len(run) > 0 && off(p, run) < jumpS:
			p.part = parts
			run, open = append(run, p), nil
			kept = append(kept, p)
		case len(open) > 0 && off(p, open) < jumpS:
			open = append(open, p)
		default:
			open = []point{p}
		}
		if least := 3; len(open) >= least || len(run) == 0 && len(open) >= 2 {
			if len(run) > 0 {
				parts++
			}
			for i := range open {
				open[i].part = parts
			}
			run, open = open, nil
			kept = append(kept, run...)
		}
	}
	return kept, parts + 1
}

// line fits one slope and a level for each part by least squares; a slope far
// from likely needs sound to tell it. The pivots are the mean moments of the
// parts.
func line(points []point, parts int) (levels, pivots []float64, slope, err float64) {
	n, at, late := make([]float64, parts), make([]float64, parts), make([]float64, parts)
	for _, p := range points {
		n[p.part], at[p.part], late[p.part] = n[p.part]+1, at[p.part]+p.atS, late[p.part]+p.lateS
	}
	var xx, xy, rest float64
	for _, p := range points {
		x := p.atS - at[p.part]/n[p.part]
		xx, xy = xx+x*x, xy+x*(p.lateS-late[p.part]/n[p.part])
	}
	const likely, each = priorPPM * 1e-6, 20e-6 // seconds: how exact a place is at best
	slope = xy / (xx + each*each/(likely*likely))
	for i := range parts {
		levels = append(levels, (late[i]-slope*at[i])/max(1, n[i]))
		pivots = append(pivots, at[i]/max(1, n[i]))
	}
	for _, p := range points {
		r := p.lateS - levels[p.part] - slope*p.atS
		rest += r * r
	}
	free := max(1, float64(len(points)-parts-1))
	xx *= apartShare(points)
	return levels, pivots, slope, math.Sqrt(max(rest/free, sharpest*sharpest) / max(xx, 1e-9))
}

// sharpest is how exact a place is at best, in seconds.
const sharpest = 3e-6

// apartShare is how much of what the places tell is told once: windows that
// overlap tell the same.
func apartShare(points []point) float64 {
	if len(points) < 2 {
		return 1
	}
	apart := (points[len(points)-1].atS - points[0].atS) / float64(len(points)-1)
	return max(0.05, min(1, apart/waveS))
}

// trimmed throws out what lies far off the line.
func trimmed(points []point, levels []float64, slope float64) []point {
	var off []float64
	for _, p := range points {
		off = append(off, math.Abs(p.lateS-levels[p.part]-slope*p.atS))
	}
	limit := max(4*1.48*median(off), 5e-6)
	return slices.DeleteFunc(slices.Clone(points), func(p point) bool {
		return math.Abs(p.lateS-levels[p.part]-slope*p.atS) > limit
	})
}
