package lineup

import (
	"math"
	"math/cmplx"

	"rollready/dsp/lineup/find"
	"rollready/dsp/lineup/sequence"
)

// wholeRadians is how far the phase of the 1 kHz tone may wander against the
// markers: a quarter of a millisecond. More means that sound is missing.
const wholeRadians = 1.6

// whole checks that nothing is missing inside the sequence: the phase of the
// tone must stay where the markers put it.
func (r *recording) whole(channel int) error {
	stretches := [][]sequence.Section{
		sequence.Of(sequence.Ladder),
		{sequence.Find(sequence.Before), sequence.Find(sequence.Burst), sequence.Find(sequence.After)},
	}
	for _, sections := range stretches {
		if wander := r.wander(channel, sections[0].Start, sections[len(sections)-1].End()); wander > wholeRadians {
			return find.Refuse(find.Broken, "sound is missing inside the clip (the tone jumps by %.1f ms): record again, and use the clip as the camera wrote it", 1000*wander/(2*math.Pi*sequence.ToneHz))
		}
	}
	return nil
}

// wander is the range of the tone's phase against the sequence, in radians,
// between two seconds of it.
func (r *recording) wander(channel int, from, to float64) float64 {
	const window = 0.1
	var p probe
	low, high, last, seen := 0.0, 0.0, 0.0, false
	for at := from; at+window <= to; at += window {
		p.load(r.cut(channel, at, at+window))
		found := p.tones([4]float64{sequence.ToneHz / r.perSec, 1.5 * sequence.ToneHz / r.perSec})
		tone, noise := found[0], found[1]
		if cmplx.Abs(tone) < 10*cmplx.Abs(noise) {
			continue
		}
		first := math.Round(r.origin + at*r.perSec)
		phase := cmplx.Phase(tone) - 2*math.Pi*sequence.ToneHz*(first-r.origin)/r.perSec
		if seen {
			phase = last + math.Remainder(phase-last, 2*math.Pi)
			low, high = min(low, phase), max(high, phase)
		} else {
			low, high, seen = phase, phase, true
		}
		last = phase
	}
	return high - low
}
