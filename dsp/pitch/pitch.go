// Package pitch follows the fundamental of a voice.
package pitch

import (
	"math"

	"rollready/dsp/filter"
	"rollready/dsp/internal/dot"
)

// Range of fundamentals looked for: a deep male to a high female or child's
// voice (common practice, no source).
const (
	LowestHz  = 60.0
	HighestHz = 430.0
)

const (
	windowSeconds = 2 / LowestHz // two periods of the lowest
	overRoom      = 6            // least power of a voice over that of the room
	cutHz         = 100.0        // wind and rumble go; the harmonics keep the period of a deep voice
	trickle       = 1e-20        // keeps the filters off denormal numbers, which are slow
	voicedAt      = 0.7          // least self-similarity of a voiced sound
	talkShare     = 0.2          // of a second voiced: someone talks
	shorter       = 0.92         // a shorter period this close to the best one is the true one
	binsPerOctave = 48
	bins          = 141 // from LowestHz to beyond HighestHz
)

// Tracker follows one channel that a lowrate.Decimator feeds. Not safe for
// concurrent use.
type Tracker struct {
	rateHz            float64
	hop, window       int
	shortest, longest int             // periods in samples
	quiet, quietTime  float64         // sum of squares of the room, samples
	cut               []filter.Biquad // against rumble
	state             [2]filter.State
	clean             []float64     // behind it
	past              [2][2]float64 // of the smoothing
	x                 []float64     // the window and what follows it
	similar           []float64     // to the window, by lag
	voiced, looked    int64
	second, inSecond  int // looks of the present second, and the voiced ones
	talked            int // seconds
	count             [bins]int64
}

// New makes a tracker at a low rate in Hz that looks every so many seconds.
func New(seconds, rateHz float64) *Tracker {
	t := &Tracker{rateHz: rateHz, hop: max(1, int(seconds*rateHz)), window: int(windowSeconds * rateHz),
		shortest: int(rateHz / HighestHz), longest: int(rateHz/LowestHz) + 1}
	t.cut = filter.HighPass(filter.Cut{Hz: cutHz, Slope: 24}, int(rateHz))
	t.clean = make([]float64, 0, int(rateHz))
	t.x = make([]float64, 0, max(t.window+t.longest+1, t.hop))
	t.similar = make([]float64, t.longest+2)
	return t
}

// Room takes samples of the quiet room: what does not stand out from it later
// is not taken for a voice. It does not allocate.
func (t *Tracker) Room(x []float64) {
	for _, v := range x {
		y := t.smooth(t.withoutRumble(v))
		t.quiet += y * y
	}
	t.quietTime += float64(len(x))
}

// Process takes samples of the voice, and gives them as they are without what
// lies under a voice, until the next call. It does not allocate.
func (t *Tracker) Process(x []float64) (clean []float64) {
	t.clean = t.clean[:0]
	for _, v := range x {
		v = t.withoutRumble(v)
		t.clean = append(t.clean, v)
		if t.x = append(t.x, t.smooth(v)); len(t.x) == cap(t.x) {
			t.look()
			t.x = t.x[:copy(t.x, t.x[t.hop:])]
			t.endLook()
		}
	}
	return t.clean
}

// endLook counts the seconds in which someone talked.
func (t *Tracker) endLook() {
	if t.second++; t.second*t.hop < int(t.rateHz) {
		return
	}
	if float64(t.inSecond) >= talkShare*float64(t.second) {
		t.talked++
	}
	t.second, t.inSecond = 0, 0
}

// Talked gives the seconds in which there was a good deal of voiced sound.
func (t *Tracker) Talked() int { return t.talked }

func (t *Tracker) withoutRumble(v float64) float64 {
	v += trickle
	for i := range t.cut {
		v = t.state[i].Step(&t.cut[i], v)
	}
	return v
}

// smooth takes off the upper harmonics, whose waves are too short for the spacing
// of the samples to be compared.
func (t *Tracker) smooth(v float64) float64 {
	for i := range t.past {
		p := &t.past[i]
		v, p[0], p[1] = (v+2*p[0]+p[1])/4, v, p[0]
	}
	return v
}

// look compares the window with itself a period later, for every period.
func (t *Tracker) look() {
	t.looked++
	now := t.x[:t.window]
	power := dot.Product(now, now)
	if power <= t.Least()*float64(t.window) {
		return
	}
	later := dot.Product(t.x[t.shortest-1:t.shortest-1+t.window], t.x[t.shortest-1:t.shortest-1+t.window])
	for lag := t.shortest - 1; lag <= t.longest; lag++ {
		t.similar[lag] = dot.Product(now, t.x[lag:lag+t.window]) / math.Sqrt(power*later+1e-30)
		later += t.x[lag+t.window]*t.x[lag+t.window] - t.x[lag]*t.x[lag]
	}
	best := 0.0
	for lag := t.shortest; lag < t.longest; lag++ {
		_, height := t.top(lag)
		best = max(best, height)
	}
	for lag := t.shortest; lag < t.longest && best >= voicedAt; lag++ {
		if shift, height := t.top(lag); height >= shorter*best {
			t.hit(t.rateHz / (float64(lag) + shift))
			return
		}
	}
}

func (t *Tracker) hit(hz float64) {
	bin := int(math.Round(binsPerOctave * math.Log2(hz/LowestHz)))
	if bin < 0 || bin >= bins {
		return
	}
	t.voiced++
	t.inSecond++
	t.count[bin]++
}

// top gives place, from −0.5 to 0.5, and height of the parabola through a
// local maximum and its neighbours; height 0 where there is none.
func (t *Tracker) top(lag int) (shift, height float64) {
	l, m, r := t.similar[lag-1], t.similar[lag], t.similar[lag+1]
	bend := l - 2*m + r
	if m < l || m < r || bend >= 0 {
		return 0, 0
	}
	shift = (l - r) / 2 / bend
	return shift, m - (l-r)*shift/4
}

// Least gives the mean square that a sound needs to stand out from the room.
func (t *Tracker) Least() float64 { return overRoom * t.quiet / max(1, t.quietTime) }

// Voiced gives how many looks found a voiced sound.
func (t *Tracker) Voiced() int64 { return t.voiced }

// VoicedShare gives the share of time with a voiced sound.
func (t *Tracker) VoicedShare() float64 { return float64(t.voiced) / float64(max(1, t.looked)) }

// Hz gives the fundamental that a share q of the voiced time does not exceed,
// to about 1 %; 0 without any.
func (t *Tracker) Hz(q float64) float64 {
	rank := int64(math.Round(q * float64(t.voiced-1)))
	for bin, n := range t.count {
		if rank -= n; rank < 0 && t.voiced > 0 {
			return LowestHz * math.Exp2(float64(bin)/binsPerOctave)
		}
	}
	return 0
}

// Reset forgets everything.
func (t *Tracker) Reset() {
	t.x, t.past, t.state = t.x[:0], [2][2]float64{}, [2]filter.State{}
	t.second, t.inSecond, t.talked = 0, 0, 0
	t.voiced, t.looked, t.count = 0, 0, [bins]int64{}
	t.quiet, t.quietTime = 0, 0
}
