package lineup

import (
	"math"

	"rollready/dsp/lineup/sequence"
)

// What counts as clipped.
const (
	clipDistortion  = 0.01 // 1 % total harmonic distortion
	clipCompression = 0.5  // dB
)

// clipping finds how the top of the ladder ends. gainDB is the gain at low
// level. The output level at which it ends is the lower of the two marks.
func clipping(rungs []rung, gainDB float64) (clipDBFS Figure, clip Clip) {
	clip = Clip{Kind: NoClip, OnePercentDBFS: distortionMark(rungs), CompressionDBFS: compressionMark(rungs, gainDB)}
	switch distorts, bends := clip.OnePercentDBFS, clip.CompressionDBFS; {
	case !distorts.Known() && !bends.Known():
		return none, clip
	case !distorts.Known() || bends.Known() && distorts > bends+1.5:
		clip.Kind = Limited
		return bends, clip
	case bends.Known() && bends < distorts:
		clipDBFS = bends
	default:
		clipDBFS = distorts
	}
	clip.Kind = SoftClip
	if steep(rungs, float64(clip.OnePercentDBFS)) {
		clip.Kind = HardClip
	}
	return clipDBFS, clip
}

// firstOf gives the lowest rung from which all higher ones are bad; len(rungs)
// if the highest is good. Looking from the top leaves out what quantisation
// does to the faintest tones.
func firstOf(rungs []rung, bad func(rung) bool) int {
	i := len(rungs)
	for i > 0 && bad(rungs[i-1]) {
		i--
	}
	return i
}

// distortionMark is the output level at which distortion passes 1 %.
func distortionMark(rungs []rung) Figure {
	i := firstOf(rungs, func(s rung) bool { return s.distorted() >= clipDistortion })
	switch {
	case i == len(rungs):
		return none
	case i == 0:
		return Figure(rungs[0].outDBFS)
	}
	below, at := rungs[i-1], rungs[i]
	d := below.distorted()
	switch {
	case d <= 0.002:
		return Figure(math.Max(below.outDBFS, hardMark(rungs, i)))
	case steep(rungs, at.outDBFS):
		part := (bent(clipDistortion) - bent(d)) / (bent(at.distorted()) - bent(d))
		return Figure(below.outDBFS + part*(at.outDBFS-below.outDBFS))
	}
	return Figure(softMark(rungs[max(0, i-3):min(len(rungs), i+3)]))
}

// softMark evens out noise where distortion grows slowly: a straight line of
// its logarithm over the level, by least squares.
func softMark(rungs []rung) float64 {
	var n, x, y, xx, xy float64
	for _, s := range rungs {
		if d := s.distorted(); d > 0 {
			l := math.Log(d)
			n, x, y, xx, xy = n+1, x+s.outDBFS, y+l, xx+s.outDBFS*s.outDBFS, xy+s.outDBFS*l
		}
	}
	slope := (n*xy - x*y) / (n*xx - x*x)
	level := (math.Log(clipDistortion) - (y-slope*x)/n) / slope
	return min(max(level, rungs[0].outDBFS), rungs[len(rungs)-1].outDBFS)
}

// hardMark looks down from two distorted rungs: just past a flat clip the
// distortion grows with the 3/2 power of the decibels past it.
func hardMark(rungs []rung, i int) float64 {
	slope := 0.083 // of a flat clip just past its point, computed
	if i+1 < len(rungs) {
		slope = max(0.02, bent(rungs[i+1].distorted())-bent(rungs[i].distorted())) / sequence.StepDB
	}
	return rungs[i].outDBFS - (bent(rungs[i].distorted())-bent(clipDistortion))/slope
}

// bent makes a straight line of the distortion past a flat clip.
func bent(distortion float64) float64 { return math.Pow(distortion, 2.0/3) }

// compressionMark is the output level at which the gain is down by 0.5 dB.
func compressionMark(rungs []rung, gainDB float64) Figure {
	i := firstOf(rungs, func(s rung) bool { return gainDB-s.gainDB >= clipCompression })
	switch {
	case i == len(rungs):
		return none
	case i == 0:
		return Figure(rungs[0].outDBFS)
	}
	below, at := rungs[i-1], rungs[i]
	part := (clipCompression - gainDB + below.gainDB) / (below.gainDB - at.gainDB)
	return Figure(below.outDBFS + part*(at.outDBFS-below.outDBFS))
}

// steep tells a flat clip from a rounded one: within two steps the distortion
// of a flat clip grows more than fourfold, that of a rounded one by about half.
func steep(rungs []rung, mark float64) bool {
	i := firstOf(rungs, func(s rung) bool { return s.outDBFS >= mark })
	if i == len(rungs) || i == 0 {
		return false
	}
	above := min(i+1, len(rungs)-1)
	return rungs[above].distorted() > 4*rungs[i-1].distorted()
}

// distorted is the distortion where it stands out of the noise, else 0.
func (s rung) distorted() float64 {
	if s.harmonics < 3.5*s.noise || s.above() < 10 {
		return 0
	}
	return s.distortion()
}
