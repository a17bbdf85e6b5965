// Package ring carries frames from one thread to another without locks.
package ring

import (
	"math/bits"
	"sync/atomic"
)

// Ring is a queue of interleaved float32 frames for exactly one writer and
// one reader, each on its own thread. Nothing in it blocks, locks or
// allocates after New. Frames that find no room are dropped and counted: what
// is already queued stays whole.
type Ring struct {
	buf      []float32
	channels int
	mask     uint64 // frames that fit, less one

	// The counters run up for ever; each has a cache line of its own, so that
	// writer and reader do not slow each other down.
	_       [64]byte
	written atomic.Uint64
	_       [56]byte
	read    atomic.Uint64
	_       [56]byte
	dropped atomic.Int64
}

// New makes a ring for at least so many frames: the next power of two.
// frames and channels below 1 count as 1.
func New(frames, channels int) *Ring {
	size := 1 << bits.Len(uint(max(frames, 1)-1))
	channels = max(channels, 1)
	return &Ring{buf: make([]float32, size*channels), channels: channels, mask: uint64(size - 1)}
}

// Channels is the number of samples per frame.
func (r *Ring) Channels() int { return r.channels }

// Cap is the number of frames that fit.
func (r *Ring) Cap() int { return int(r.mask + 1) }

// Len is the number of frames queued. The reader may count on at least as
// many, the writer on at most as many.
func (r *Ring) Len() int {
	read := r.read.Load() // first: the difference must not go below zero
	return int(min(r.written.Load()-read, r.mask+1))
}

// Free is the room in frames. The writer may count on at least as much.
func (r *Ring) Free() int { return r.Cap() - r.Len() }

// Dropped counts the frames that found no room since New.
func (r *Ring) Dropped() int64 { return r.dropped.Load() }

// Drop counts frames that the writer did not even try to write.
func (r *Ring) Drop(frames int) { r.dropped.Add(int64(frames)) }

// Write queues as many whole frames of block as there is room for, counts
// the rest as dropped and gives the number queued. Only the writer calls it;
// fit for an audio thread.
func (r *Ring) Write(block []float32) (frames int) {
	offered := len(block) / r.channels
	frames = min(offered, r.Free())
	at := r.written.Load()
	first, second := r.parts(at, frames)
	n := copy(first, block)
	copy(second, block[n:])
	r.written.Store(at + uint64(frames))
	if frames < offered {
		r.Drop(offered - frames)
	}
	return frames
}

// Read takes up to len(dst)/Channels frames, oldest first, and gives their
// number. Only the reader calls it; fit for an audio thread.
func (r *Ring) Read(dst []float32) (frames int) {
	frames = min(len(dst)/r.channels, r.Len())
	at := r.read.Load()
	first, second := r.parts(at, frames)
	n := copy(dst, first)
	copy(dst[n:], second)
	r.read.Store(at + uint64(frames))
	return frames
}

// Skip throws away up to so many of the oldest frames and gives their number.
// Only the reader calls it.
func (r *Ring) Skip(frames int) int {
	frames = max(0, min(frames, r.Len()))
	r.read.Add(uint64(frames))
	return frames
}

// parts gives the one or two stretches of the buffer that hold so many frames
// from position at on.
func (r *Ring) parts(at uint64, frames int) (first, second []float32) {
	start := int(at & r.mask)
	head := min(frames, r.Cap()-start)
	return r.buf[start*r.channels : (start+head)*r.channels], r.buf[:(frames-head)*r.channels]
}
