// Package find looks for the line-up sequence in a camera's clip: anywhere in
// it, at any sample rate, level and polarity, in any channel.
package find

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/lineup/sequence"
)

const (
	likeEnough = 0.3    // of 1; noise and played music stay under 0.15
	likeAlone  = 0.6    // for a marker without the other: gliding tones can reach this
	slack      = 0.0012 // how far the length may be off: 1000 ppm and the search's own step
	silentDBFS = -80.0  // a clip that never rises above this holds nothing
	mostFound  = 40     // candidates looked at
)

// Place is where the sequence lies in the clip, to about a millisecond.
type Place struct {
	StartSeconds float64 // of the start of the start marker
	EndSeconds   float64 // of the start of the end marker
}

// Finder takes a clip block by block and then tells where the sequence is.
// Its memory grows by about 50 KB per second and channel. One goroutine uses it.
type Finder struct {
	rateHz   int
	channels int
	frames   int64
	peak     float64
	thin     []*thinner
}

// New makes a finder for interleaved frames.
func New(rateHz, channels int) *Finder {
	f := &Finder{rateHz: rateHz, channels: channels}
	for range channels {
		f.thin = append(f.thin, newThinner(rateHz))
	}
	return f
}

// Process takes the next interleaved frames. Samples that are not finite
// count as silence.
func (f *Finder) Process(block []float32) {
	for i, x := range block {
		v := float64(x)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			v = 0
		}
		f.peak = max(f.peak, math.Abs(v))
		f.thin[i%f.channels].add(v)
	}
	f.frames += int64(len(block) / f.channels)
}

// Find tells where the sequence lies; the error is a *Refusal that says what
// is wrong with the clip. Where a clip holds several, the clearest is taken.
func (f *Finder) Find() (Place, error) {
	if f.peak < db.ToAmplitude(silentDBFS) {
		return Place{}, Refuse(Silent, "the clip is silent (peak %.0f dBFS): check cable, input choice and mic level, and record again", db.FromAmplitude(f.peak))
	}
	starts, ends := f.likeness(sequence.StartMarker), f.likeness(sequence.EndMarker)
	candidates := peaks(starts, likeEnough, f.step(0.2))
	best, found := Place{}, float32(0)
	for _, c := range candidates {
		end, like := f.endAfter(ends, c)
		if like >= likeEnough && starts[c]+like > found {
			found, best = starts[c]+like, Place{f.seconds(c), f.seconds(end)}
		}
	}
	if found > 0 {
		return best, nil
	}
	return Place{}, f.refusal(peaks(starts, likeAlone, f.step(0.2)), peaks(ends, likeAlone, f.step(0.2)))
}

// refusal words what is missing from the markers that were found alone.
func (f *Finder) refusal(starts, ends []int) error {
	length, need := float64(f.frames)/float64(f.rateHz), sequence.Seconds()
	gap := markerGap()
	switch {
	case len(starts) > 0 && len(ends) > 0 && ends[0] > starts[0]:
		off := f.seconds(ends[0]) - f.seconds(starts[0]) - gap
		return Refuse(Broken, "the sequence is %+.2f s off its length of %.1f s: sound is missing inside the clip or it was edited or played at another speed; record again and use the clip as the camera wrote it", off, need)
	case len(starts) > 0 && f.seconds(starts[0])+gap > length-0.4:
		return Refuse(CutOff, "the recording stops %.1f s before the end of the sequence: let the camera run until it has ended, and record again", f.seconds(starts[0])+gap+0.9-length)
	case len(ends) > 0 && f.seconds(ends[0]) < gap:
		return Refuse(StartsLate, "the recording begins %.1f s after the start of the sequence: start the camera first, and send again", gap-f.seconds(ends[0]))
	case len(starts) > 0 || len(ends) > 0:
		return Refuse(Broken, "only one end of the sequence is in the clip: part of it was edited out or covered; record again")
	case length < need:
		return Refuse(TooShort, "the clip lasts %.1f s and the sequence %.1f s: choose the clip that holds the whole of it", length, need)
	}
	return Refuse(NoSequence, "no line-up sequence in the clip: choose the clip recorded while it was sent, or send it again with more output level")
}

func (f *Finder) likeness(kind sequence.Kind) []float32 {
	like := make([]float32, len(f.thin[0].out))
	m := newMatcher(kind, f.rateHz)
	for c := 0; c < f.channels; c += 2 {
		m.match(f.thin[c], f.thin[min(c+1, f.channels-1)], like)
	}
	return like
}

// endAfter looks for the end marker where the start marker at c lets expect it.
func (f *Finder) endAfter(ends []float32, c int) (at int, like float32) {
	gap := markerGap()
	from, to := c+f.step(gap*(1-slack)), c+f.step(gap*(1+slack))
	for i := max(0, from); i <= min(to, len(ends)-1); i++ {
		if ends[i] > like {
			at, like = i, ends[i]
		}
	}
	return at, like
}

// peaks lists the places where likeness rises above a threshold, one per
// stretch of so many samples.
func peaks(like []float32, enough float32, apart int) []int {
	var found []int
	for i, x := range like {
		if x < enough {
			continue
		}
		last := len(found) - 1
		switch {
		case last < 0 || i-found[last] > apart:
			if len(found) < mostFound {
				found = append(found, i)
			}
		case x > like[found[last]]:
			found[last] = i
		}
	}
	return found
}

// markerGap is the nominal time from start marker to end marker in seconds.
func markerGap() float64 {
	return sequence.Find(sequence.EndMarker).Start - sequence.Find(sequence.StartMarker).Start
}

func (f *Finder) searchRate() float64      { return float64(f.rateHz) / float64(thinFactor(f.rateHz)) }
func (f *Finder) step(seconds float64) int { return int(seconds * f.searchRate()) }
func (f *Finder) seconds(step int) float64 { return float64(step) / f.searchRate() }
