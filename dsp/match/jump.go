package match

import "math"

const (
	blockS = 0.01 // how exactly a jump is placed
	lookS  = 2.0  // on either side of where it was noticed, at least
)

// findJumps finds where exactly the jumps lie, between the places that told of
// them.
func (f *Fit) findJumps(clip, take Recording, points []point) error {
	for i := range f.Jumps {
		after := f.Jumps[i].AtS + waveS/2
		before := f.lastBefore(f.Jumps[i].AtS, points)
		at, err := f.locate(i, clip, take, max(f.FromS, before-waveS/2), min(after, f.ToS))
		if err != nil {
			return err
		}
		f.Jumps[i].AtS = at
	}
	return nil
}

// lastBefore is the last sure place before a moment.
func (f *Fit) lastBefore(atS float64, points []point) float64 {
	last := f.FromS
	for _, p := range points {
		if p.atS < atS && p.peak.clear >= clear6 {
			last = max(last, p.atS-lookS)
		}
	}
	return last
}

// locate compares the clip with the take as it lay before and as it lies after
// the jump, block by block; the jump is where the one ceases to fit better.
func (f *Fit) locate(jump int, clip, take Recording, fromS, toS float64) (float64, error) {
	n := int((toS - fromS) * WaveHz)
	if n < 2 {
		return fromS, nil
	}
	x, a, b := make([]float64, n), make([]float64, n), make([]float64, n)
	before := *f
	before.Jumps = f.Jumps[:jump]
	shift := f.Jumps[jump].LostS
	start := before.OffsetS
	for _, j := range before.Jumps {
		start += j.LostS
	}
	start += fromS * (1 + f.PPM*1e-6)
	if err := clip.Sound.Window(x, fromS, 0); err != nil {
		return 0, err
	}
	if err := take.Sound.Window(a, start, f.PPM); err != nil {
		return 0, err
	}
	if err := take.Sound.Window(b, start+shift, f.PPM); err != nil {
		return 0, err
	}
	return fromS + ceases(x, a, b), nil
}

// ceases gives the seconds after which b fits x better than a.
func ceases(x, a, b []float64) float64 {
	size := int(blockS * WaveHz)
	sum, most, at := 0.0, math.Inf(-1), 0
	for i := 0; i+size <= len(x); i += size {
		if sum > most {
			most, at = sum, i
		}
		sum += likeness(x[i:i+size], a[i:i+size]) - likeness(x[i:i+size], b[i:i+size])
	}
	if sum > most {
		at = len(x)
	}
	return float64(at) / WaveHz
}

// likeness is the correlation of two blocks, either polarity.
func likeness(x, y []float64) float64 {
	var xy, xx, yy float64
	for i, v := range x {
		xy, xx, yy = xy+v*y[i], xx+v*v, yy+y[i]*y[i]
	}
	return math.Abs(xy) / math.Sqrt(xx*yy+1e-20)
}
