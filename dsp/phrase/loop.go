package phrase

import (
	"errors"
	"math"

	"rollready/dsp/compare"
)

const (
	leastSeconds = 1.0
	fadeSeconds  = 0.060 // of the crossfade at the seam
	searchShare  = 0.20  // of the phrase, at either end, in which the seam is looked for
	hopSeconds   = 0.005 // of the rough search
	shiftSeconds = 0.010 // of the fine search, either way
	unlikeDB     = 1.0   // weight of a dB by which the two sides of the seam differ
)

// ErrTooShort says that less than a second was remembered.
var ErrTooShort = errors.New("no phrase yet: speak for a few seconds, then capture again")

// Loop is a stretch of sound whose end goes over into its beginning. It never
// changes: any number of Players may play it at once.
type Loop struct {
	frames           []float32
	rateHz, channels int
}

// NewLoop cuts a loop out of the frames: where its end and its beginning are
// quiet and alike, with a crossfade between them. The frames are copied.
func NewLoop(frames []float32, rateHz, channels int) (*Loop, error) {
	n := len(frames) / channels
	if float64(n) < leastSeconds*float64(rateHz) {
		return nil, ErrTooShort
	}
	fade := int(fadeSeconds * float64(rateHz))
	mono := mix(frames, channels)
	start, end := roughly(mono, fade, max(1, int(hopSeconds*float64(rateHz))))
	end = align(mono, start, end, fade, int(shiftSeconds*float64(rateHz)))
	l := &Loop{rateHz: rateHz, channels: channels}
	l.frames = append(l.frames, frames[start*channels:end*channels]...)
	l.close(frames[(start-fade)*channels : start*channels])
	return l, nil
}

// close blends the end of the loop into what led up to its beginning.
func (l *Loop) close(lead []float32) {
	tail := l.frames[len(l.frames)-len(lead):]
	alike := compare.Alike(tail, lead)
	for i := range tail {
		share := float64(i/l.channels+1) / float64(len(lead)/l.channels)
		old, new := compare.Crossfade(share, alike)
		tail[i] = float32(old*float64(tail[i]) + new*float64(lead[i]))
	}
}

// Seconds is the length of the loop.
func (l *Loop) Seconds() float64 { return float64(l.Frames()) / float64(l.rateHz) }

// Frames is the number of frames of the loop.
func (l *Loop) Frames() int { return len(l.frames) / l.channels }

// Format gives the rate and the channels of the loop.
func (l *Loop) Format() (rateHz, channels int) { return l.rateHz, l.channels }

func mix(frames []float32, channels int) []float64 {
	mono := make([]float64, len(frames)/channels)
	for i := range mono {
		for c := range channels {
			mono[i] += float64(frames[i*channels+c])
		}
	}
	return mono
}

// roughly finds the start, in the first part, and the end, in the last part,
// for which the fade-long stretches before them are together quietest and
// most alike in level.
func roughly(mono []float64, fade, hop int) (start, end int) {
	search := max(hop, int(searchShare*float64(len(mono))))
	firsts := levels(mono, fade, fade+search, fade, hop)
	lasts := levels(mono, len(mono)-search, len(mono), fade, hop)
	best := math.Inf(1)
	for i, a := range firsts {
		for k, b := range lasts {
			if cost := a + b + unlikeDB*math.Abs(a-b); cost < best {
				best, start, end = cost, fade+i*hop, len(mono)-search+k*hop
			}
		}
	}
	return start, end
}

// levels gives the level in dB of the fade-long stretches that end at from,
// from+hop, … up to to.
func levels(mono []float64, from, to, fade, hop int) (levels []float64) {
	for at := from; at <= to; at += hop {
		sum := 1e-12 // −120 dB: quieter is all the same
		for _, x := range mono[at-fade : at] {
			sum += x * x / float64(fade)
		}
		levels = append(levels, 10*math.Log10(sum))
	}
	return levels
}

// align moves the end by up to shift so that what is blended lies in phase.
func align(mono []float64, start, end, fade, shift int) int {
	lead := mono[start-fade : start]
	best, found := 0.0, end
	for at := max(end-shift, start+2*fade); at <= min(end+shift, len(mono)); at++ {
		var dot, power float64
		for i, x := range mono[at-fade : at] {
			dot, power = dot+x*lead[i], power+x*x
		}
		if like := dot / math.Sqrt(power+1e-12); like > best {
			best, found = like, at
		}
	}
	return found
}

// Player plays a loop over and over. One goroutine or audio thread uses it.
type Player struct {
	loop *Loop
	at   int
}

// NewPlayer starts at the beginning of the loop.
func NewPlayer(l *Loop) *Player { return &Player{loop: l} }

// Read fills dst. Audio thread: does not allocate.
func (p *Player) Read(dst []float32) {
	for len(dst) > 0 {
		n := copy(dst, p.loop.frames[p.at:])
		dst = dst[n:]
		p.at = (p.at + n) % len(p.loop.frames)
	}
}

// Place is how far the loop has been played, 0…1.
func (p *Player) Place() float64 { return float64(p.at) / float64(len(p.loop.frames)) }
