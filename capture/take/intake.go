package take

import (
	"math"
	"sync/atomic"

	"rollready/capture/ring"
)

// intake carries frames from the audio thread to the recorder. A frame is the
// processed channels followed by the input's. What finds no room is counted
// and owed: the reader gets silence of that length in its place, so that time
// stays right.
//
// Positions count frames since the start, silence owed included.
type intake struct {
	ring     *ring.Ring
	channels int          // of the input and of the output, each
	now      func() int64 // nanoseconds, without allocation
	scratch  []float32

	// The audio thread's own.
	missed int64 // frames dropped and not yet owed
	queued int64 // frames put into the ring

	fed     atomic.Int64 // position of the next frame to be fed
	arrived atomic.Int64 // time of the last Feed
	lag     atomic.Int64 // frames dropped so far
	owed    atomic.Int64 // frames of silence; the writer sets it from 0, the reader brings it back to 0
	owedAt  atomic.Int64 // frames of the ring that come before the silence

	// The reader's own.
	read int64 // frames taken out of the ring
	at   int64 // position of the next frame to be read
}

// feedFrames is how many frames are laid side by side at a time.
const feedFrames = 512

func newIntake(frames, channels int, now func() int64) *intake {
	return &intake{ring: ring.New(frames, 2*channels), channels: channels, now: now,
		scratch: make([]float32, feedFrames*2*channels)}
}

// feed takes a block of input and output frames of the same length. Audio
// thread: does not allocate, lock or block.
func (q *intake) feed(in, out []float32) {
	frames := int64(len(out) / q.channels)
	q.arrived.Store(q.now())
	if q.missed > 0 && q.owed.Load() == 0 && int64(q.ring.Free()) >= frames {
		q.owedAt.Store(q.queued)
		q.owed.Store(q.missed) // before the frames that follow it
		q.missed = 0
	}
	if q.missed > 0 || int64(q.ring.Free()) < frames {
		q.missed += frames
		q.lag.Add(frames)
	} else {
		q.queue(in, out)
	}
	q.fed.Add(frames)
}

func (q *intake) queue(in, out []float32) {
	c := q.channels
	for len(out) > 0 {
		n := min(feedFrames, len(out)/c)
		if n == 0 {
			return
		}
		for ch := range c {
			for i := range n {
				q.scratch[2*c*i+ch], q.scratch[2*c*i+c+ch] = out[c*i+ch], in[c*i+ch]
			}
		}
		q.queued += int64(q.ring.Write(q.scratch[:2*c*n]))
		in, out = in[c*n:], out[c*n:]
	}
}

// ready gives how many frames can be had now, and whether they are silence.
func (q *intake) ready() (frames int64, silent bool) {
	inRing := int64(q.ring.Len()) // first: what is owed before these frames is known by then
	owed := q.owed.Load()
	if owed == 0 {
		return inRing, false
	}
	if before := q.owedAt.Load() - q.read; before > 0 {
		return min(inRing, before), false
	}
	return owed, true
}

// next fills dst with frames and gives their number, 0 if there are none now.
func (q *intake) next(dst []float32) int64 {
	width := 2 * q.channels
	frames, silent := q.ready()
	frames = min(frames, int64(len(dst)/width))
	dst = dst[:frames*int64(width)]
	if silent {
		clear(dst)
	} else {
		q.ring.Read(dst)
	}
	q.passed(frames, silent)
	return frames
}

// skip throws away up to so many frames.
func (q *intake) skip(frames int64) {
	for frames > 0 {
		n, silent := q.ready()
		n = min(n, frames)
		if n == 0 {
			return
		}
		if !silent {
			q.ring.Skip(int(n))
		}
		q.passed(n, silent)
		frames -= n
	}
}

// keep throws away all but the newest frames that are there.
func (q *intake) keep(frames int64) { q.skip(q.waiting() - frames) }

// keepNone throws away everything that is there.
func (q *intake) keepNone() { q.skip(math.MaxInt64) }

func (q *intake) passed(frames int64, silent bool) {
	q.at += frames
	if silent {
		q.owed.Add(-frames)
	} else {
		q.read += frames
	}
}

// waiting is how many frames are there or owed.
func (q *intake) waiting() int64 { return int64(q.ring.Len()) + q.owed.Load() }
