package match

import (
	"cmp"
	"math"
	"slices"
)

const (
	tryPlaces  = 12  // compared to see whether two belong together
	finePlaces = 48  // at least, where there is room
	everyS     = 5.0 // one place at least, for jumps
	leastStepS = 0.4
)

// Recording is what Align needs of a recording: its print's length and
// activity, and its waves.
type Recording struct {
	Seconds float64
	Active  []float32 // Activity of its print
	Sound   Sound
}

// Try compares the waves of a clip and a take at a few places, given when the
// clip began in the take, to a twentieth of a second. Belongs tells whether
// they belong together.
func Try(clip, take Recording, offsetS float64) (Fit, error) {
	f := Fit{OffsetS: offsetS}
	f.cover(clip.Seconds, take.Seconds)
	step := max(leastStepS, (f.ToS-f.FromS)/tryPlaces)
	v := surveyor{clip, take, newComparer()}
	at := places(clip.Active, take.Active, f, step, waveS)
	points, err := v.tellTale(f, at)
	if err != nil {
		return f, err
	}
	f = f.through(points, clip.Seconds, take.Seconds)
	f.Places = len(at)
	// Windows that overlap tell the same.
	f.Evidence *= (1 + float64(f.Agreeing-1)*min(1, step/waveS)) / float64(max(1, f.Agreeing))
	return f, nil
}

// Align compares them at many places, which gives the offset to a few
// microseconds, the clocks' difference, and jumps.
func Align(clip, take Recording, f Fit) (Fit, error) {
	if f.ToS <= f.FromS {
		f.cover(clip.Seconds, take.Seconds)
	}
	step := min(everyS, max(leastStepS, (f.ToS-f.FromS)/finePlaces))
	v := surveyor{clip, take, newComparer()}
	f.Jumps = nil
	at := places(clip.Active, take.Active, f, step, waveS)
	points, err := v.survey(f, at, nearS, exactBand)
	if err != nil {
		return f, err
	}
	all, strayed, err := v.stray(f, points)
	if err != nil {
		return f, err
	}
	if strayed {
		rough := f.through(all, clip.Seconds, take.Seconds)
		if err := rough.findJumps(clip, take, all); err != nil {
			return f, err
		}
		if points, err = v.survey(rough, at, nearS, exactBand); err != nil {
			return f, err
		}
		f = rough
	}
	return f.exact(points, clip.Seconds, take.Seconds), nil
}

// surveyor compares two recordings at places.
type surveyor struct {
	clip, take Recording
	comparer   *comparer
}

// survey compares the waves at places.
func (v surveyor) survey(f Fit, at []float64, slackS float64, b band) ([]point, error) {
	var points []point
	for _, at := range at {
		here := f
		here.OffsetS += f.soundS(at) - f.TakeS(at)
		p, err := v.comparer.at(v.clip.Sound, v.take.Sound, here, at, slackS, b)
		if err != nil {
			return nil, err
		}
		// The middle of the window is the place that was compared.
		points = append(points, point{atS: at + waveS/2, lateS: p.lag / WaveHz, peak: p, part: f.part(at)})
	}
	return points, nil
}

// tellTale compares every second place first; where none of these agrees, the
// others would not help.
func (v surveyor) tellTale(f Fit, at []float64) ([]point, error) {
	var first, second []float64
	for i, x := range at {
		if i%2 == 0 {
			first = append(first, x)
		} else {
			second = append(second, x)
		}
	}
	points, err := v.survey(f, first, wideS, firstBand)
	if err != nil || len(clearOnes(points, clear6)) == 0 && len(first) > 2 {
		return points, err
	}
	more, err := v.survey(f, second, wideS, firstBand)
	points = append(points, more...)
	slices.SortFunc(points, func(a, b point) int { return cmp.Compare(a.atS, b.atS) })
	return points, err
}

// stray looks farther around the places where nothing agrees with the fit:
// where these agree with each other, the sound goes on elsewhere.
func (v surveyor) stray(f Fit, points []point) (all []point, strayed bool, err error) {
	off := 0
	for _, p := range points {
		if p.near() {
			all = append(all, p)
			continue
		}
		wide, err := v.survey(f, []float64{p.atS - waveS/2}, wideS, firstBand)
		if err != nil {
			return nil, false, err
		}
		if wide[0].peak.clear >= clear6 && math.Abs(wide[0].lateS) > jumpS {
			off++
		}
		all = append(all, wide...)
	}
	return all, off >= 3, nil
}

// near tells whether a place agrees with the fit.
func (p point) near() bool { return p.peak.clear >= clearNear && math.Abs(p.lateS) < outlierS }

func (f Fit) part(atS float64) int {
	n := 0
	for _, j := range f.Jumps {
		if atS+waveS/2 >= j.AtS {
			n++
		}
	}
	return n
}

// through lays a line through the places that agree; the first part counts for
// the offset, since picture and sound begin together.
func (f Fit) through(points []point, clipS, takeS float64) Fit {
	f.Places = len(points)
	sure := clearOnes(points, clear6)
	s := slope(sure)
	kept, parts := split(sure, s)
	if len(sure) == 1 {
		kept = sure
	}
	if len(kept) == 0 {
		f.Agreeing = 0
		return f
	}
	levels, pivots, s, e := line(kept, parts)
	f.PivotsS = pivots
	f.tell(kept, levels, s, e)
	for i := 1; i < parts; i++ {
		f.Jumps = append(f.Jumps, Jump{AtS: firstOf(kept, i), LostS: levels[i] - levels[i-1]})
	}
	f.cover(clipS, takeS)
	return f
}

func firstOf(points []point, part int) float64 {
	for _, p := range points {
		if p.part == part {
			return p.atS
		}
	}
	return 0
}

func clearOnes(points []point, least float64) (sure []point) {
	for _, p := range points {
		if p.peak.clear >= least {
			sure = append(sure, p)
		}
	}
	return sure
}

// tell moves the fit by what a line says.
func (f *Fit) tell(points []point, levels []float64, slope, err float64) {
	f.OffsetS += levels[0]
	f.PPM += slope * 1e6
	f.ErrorPPM = err * 1e6
	f.Agreeing, f.Strength, f.Evidence, f.SpreadS = len(points), 0, 0, 0
	inverted := 0
	for _, p := range points {
		f.Strength += p.peak.strength / float64(len(points))
		f.Evidence += p.peak.clear
		r := p.lateS - levels[p.part] - slope*p.atS
		f.SpreadS += r * r / float64(len(points))
		if p.peak.inverted {
			inverted++
		}
	}
	f.SpreadS = math.Sqrt(f.SpreadS)
	f.Inverted = 2*inverted > len(points)
}

// exact refines the fit by what was found close to it.
func (f Fit) exact(points []point, clipS, takeS float64) Fit {
	f.Places = len(points)
	var near []point
	for _, p := range points {
		if p.near() {
			near = append(near, p)
		}
	}
	if len(near) == 0 {
		return f
	}
	parts := len(f.Jumps) + 1
	levels, pivots, s, e := line(near, parts)
	for range 3 {
		near = trimmed(near, levels, s)
		levels, pivots, s, e = line(near, parts)
	}
	evidence := f.Evidence
	f.PivotsS = pivots
	f.tell(near, levels, s, e)
	f.Evidence = evidence
	for i := range f.Jumps {
		f.Jumps[i].LostS += levels[i+1] - levels[i]
	}
	f.cover(clipS, takeS)
	return f
}
