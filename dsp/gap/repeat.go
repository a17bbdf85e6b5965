package gap

import "math"

const (
	anchorBits   = 5       // one frame in 32 is an anchor
	places       = 1 << 10 // anchors remembered
	four         = 4       // frames tell one place from another
	shortestLag  = 64      // frames
	longestLagS  = 0.1     // seconds
	leastAnchors = 4
	recent       = 256                // anchors, more than two of the longest blocks have
	apart        = 8                  // times its length: another one sooner is a tone's
	mark         = 0x9E3779B1         // the same, of 32 bits
	mix          = 0x9E3779B97F4A7C15 // 2^64 over the golden ratio: spreads the bits
)

// repeats finds blocks that came twice, by frames whose values happen to be
// marked: the same four frames again, and on and on at the same distance, for
// about as long as that distance.
type repeats struct {
	channels int
	longest  int64
	at       int64
	seen     [places]anchor
	last     [recent]int64 // places of the last anchors
	anchors  int64
	run      run   // going on
	kept     run   // ended
	stray    int64 // the last place that was there before by itself: a tone has many
}

type anchor struct {
	hash uint64
	at   int64
}

// run is a stretch that came twice.
type run struct{ lag, first, last, anchors int64 }

func newRepeats(rateHz, channels int) repeats {
	return repeats{channels: channels, longest: int64(longestLagS * float64(rateHz)), stray: -1 << 40}
}

func (r *repeats) reset() { *r = repeats{channels: r.channels, longest: r.longest, stray: -1 << 40} }

// process looks for marked frames. The first of a block are passed over: what
// comes before them is gone.
func (r *repeats) process(block []float32, found func()) {
	n := r.channels
	first := (four - 1) * n
	for i := first; i < len(block); i += n {
		bits := math.Float32bits(block[i])
		if bits*mark < 1<<(32-anchorBits) && bits != 0 {
			at := r.at + int64(i/n)
			r.anchor(at, hash(block[i-first:i+n]), found)
		}
	}
	r.at += int64(len(block) / n)
}

// hash is that of the samples of four frames.
func hash(samples []float32) (h uint64) {
	for _, x := range samples {
		h = (h ^ uint64(math.Float32bits(x))) * mix
	}
	return h
}

// anchor looks whether these frames were there before.
func (r *repeats) anchor(at int64, hash uint64, found func()) {
	place := &r.seen[hash>>54]
	lag := at - place.at
	same := place.hash == hash && lag >= shortestLag && lag <= r.longest
	*place = anchor{hash, at}
	r.last[r.anchors%recent] = at
	r.anchors++
	if r.kept.anchors > 0 && at-r.kept.last > apart*r.kept.lag {
		if r.kept.whole() && r.kept.first-r.stray > apart*r.kept.lag {
			found()
		}
		r.kept = run{}
	}
	switch {
	case same && lag == r.run.lag:
		r.run.last = at
		r.run.anchors++
		return
	case r.run.anchors > 1:
		r.keep()
	case r.run.anchors == 1:
		r.stray = r.run.first
	}
	r.run = run{}
	if same && r.sounded(at-2*lag, at-lag-lag/8) {
		r.run = run{lag, at, at, 1}
	}
}

// sounded tells whether there was an anchor between two places: a block that
// comes twice has other sound before it, a tone that has just begun has not.
func (r *repeats) sounded(from, until int64) bool {
	for _, at := range r.last {
		if at >= from && at <= until {
			return true
		}
	}
	return false
}

// keep waits whether another stretch follows at once, as in a tone.
func (r *repeats) keep() {
	if r.kept.anchors > 0 {
		r.run.first = r.kept.first - apart*r.run.lag // far too long for a block
	}
	r.kept = r.run
}

// whole tells whether a stretch is a block that came twice or three times; a
// tone goes on far longer.
func (r run) whole() bool {
	length := float64(r.last-r.first) * float64(r.anchors+1) / float64(max(1, r.anchors-1))
	return r.anchors >= leastAnchors && length > 0.6*float64(r.lag) && length < 3.5*float64(r.lag)
}
