package howl

import "math"

// tone is the strongest tone of one spectrum.
type tone struct {
	hz, levelDBFS float64
	purity        float64 // its share of the whole power
}

const (
	longest      = 100   // tones kept: about a second
	leastGrowth  = 9.0   // dB, over the stretch looked at
	leastRate    = 8.0   // dB per second
	leastLevel   = -50.0 // dBFS at the end
	leastPurity  = 0.9   // in every spectrum of the stretch
	endPurity    = 0.97  // in the latest
	mostBend     = 0.07  // rms distance from a straight line in decibels, over the growth
	mostWander   = 30.0  // Hz
	averaged     = 8     // spectra whose powers make up a level
	mostPerFrame = 0.5   // share of the growth within one spectrum length: a tone switched on has all of it there
)

// stretches are the lengths looked at, in spectra: a quick howl shows in the
// short ones, a slow one in the long.
var stretches = [...]int{14, 18, 24, 32, 40, 56, 75, 100}

// track keeps the strongest tones of the last second.
type track struct {
	hopSeconds float64
	ring       [longest]tone
	recent     [averaged]float64 // powers
	count      int
}

// add takes the tone of the newest spectrum; its level becomes the average.
func (t *track) add(x tone) {
	t.recent[t.count%averaged] = math.Pow(10, x.levelDBFS/10)
	sum := 0.0
	for _, p := range t.recent {
		sum += p
	}
	x.levelDBFS = 10 * math.Log10(sum/averaged)
	t.ring[t.count%longest] = x
	t.count++
}

// back gives the tone i spectra ago.
func (t *track) back(i int) tone { return t.ring[(t.count-1-i)%longest] }

// growing tells whether some stretch up to now is one steadily growing tone.
func (t *track) growing() (Alarm, bool) {
	pure := t.pureStretch()
	if t.louderBefore() {
		return Alarm{}, false
	}
	for _, n := range stretches {
		if n > pure {
			break
		}
		if slope, ok := t.steady(n); ok {
			now := t.back(0)
			return Alarm{Hz: now.hz, LevelDBFS: now.levelDBFS, DBPerSecond: slope}, true
		}
	}
	return Alarm{}, false
}

// pureStretch is how many spectra back one and the same tone leads.
func (t *track) pureStretch() int {
	now := t.back(0)
	if now.levelDBFS < leastLevel || now.purity < endPurity || t.count == 0 {
		return 0
	}
	n := 0
	for n < min(t.count, longest) {
		x := t.back(n)
		if x.purity < leastPurity || math.Abs(x.hz-now.hz) > mostWander {
			break
		}
		n++
	}
	return n
}

// louderBefore tells whether the same tone was louder already: a beat, or a
// note that swells again.
func (t *track) louderBefore() bool {
	now := t.back(0)
	for i := 1; i < min(t.count, longest); i++ {
		x := t.back(i)
		if x.levelDBFS > now.levelDBFS+1 && math.Abs(x.hz-now.hz) <= mostWander {
			return true
		}
	}
	return false
}

// steady fits a straight line to the last n levels.
func (t *track) steady(n int) (dBPerSecond float64, ok bool) {
	var mean, slope, bend, jump float64
	for i := range n {
		mean += t.back(i).levelDBFS / float64(n)
	}
	middle := float64(n-1) / 2
	for i := range n {
		slope += (middle - float64(i)) * t.back(i).levelDBFS
	}
	slope *= 12 / (float64(n) * (float64(n)*float64(n) - 1))
	for i := range n {
		d := t.back(i).levelDBFS - mean - slope*(middle-float64(i))
		bend += d * d
	}
	for i := range n - perFrame {
		jump = max(jump, t.back(i).levelDBFS-t.back(i+perFrame).levelDBFS)
	}
	growth := slope * float64(n-1)
	dBPerSecond = slope / t.hopSeconds
	return dBPerSecond, growth >= leastGrowth && dBPerSecond >= leastRate &&
		math.Sqrt(bend/float64(n)) <= mostBend*growth && jump <= mostPerFrame*growth
}
