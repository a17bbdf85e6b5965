//go:build cgo

package device

import (
	"math/bits"
	"runtime"
	"sync/atomic"
	"unsafe"
)

// #include "hold.h"
import "C"

// holdSeconds is how much sound waits for who collects late.
const holdSeconds = 4

// hold lets an input's blocks wait in C until they are collected, so that
// nothing of Go wakes for each: after a call from C the runtime watches the
// thread by waking thousands of times a second. At first, and while nobody
// called wait, blocks go on at once, on the device's thread.
type hold struct {
	c        *C.hold
	channels int
	deliver  func(block []float32)
	settled  bool         // no block goes on at once any more; the collector's own
	turns    atomic.Int64 // orders the device's thread and the collector
}

// newHold is nil where there is no memory.
func newHold(rateHz, channels int, deliver func(block []float32)) *hold {
	frames := 1 << bits.Len(uint(holdSeconds*rateHz-1))
	c := C.hold_new(C.uint32_t(frames), C.uint32_t(channels))
	if c == nil {
		return nil
	}
	h := &hold{c: c, channels: channels, deliver: deliver}
	runtime.AddCleanup(h, func(c *C.hold) { C.hold_free(c) }, c)
	return h
}

// take puts the hold between a device made with it and the binding. Where the
// device is not laid out as expected, all blocks go on at once as without it.
func (h *hold) take(device unsafe.Pointer) bool { return C.hold_take(h.c, device) != 0 }

// pass takes a block that goes on at once. Audio thread.
func (h *hold) pass(block []float32) {
	h.turns.Load()
	h.drain(1 << 30)
	h.deliver(block)
	h.turns.Add(1)
}

// wait lets blocks wait for collect, or go on at once. Of the goroutine that
// collects.
func (h *hold) wait(on bool) {
	var prompt uint32
	if !on {
		prompt = 1
	}
	h.settled = h.settled && on
	h.turns.Add(1)
	atomic.StoreUint32((*uint32)(&h.c.prompt), prompt)
}

// collect delivers up to so many frames that wait, and gives the number of
// those that found no room since the last time. more tells that others wait.
func (h *hold) collect(frames int) (dropped int64, more bool) {
	if !h.settled {
		if atomic.LoadUint32((*uint32)(&h.c.prompt)) != 0 || atomic.LoadUint32((*uint32)(&h.c.passing)) != 0 {
			return 0, false
		}
		h.settled = true
		h.turns.Load()
	}
	more = h.drain(frames)
	if dropped = int64(atomic.SwapUint64((*uint64)(&h.c.dropped), 0)); !more {
		h.turns.Add(1)
	}
	return dropped, more
}

// drain delivers up to so many frames that wait.
func (h *hold) drain(most int) (more bool) {
	read := uint64(h.c.read)
	waiting := atomic.LoadUint64((*uint64)(&h.c.written)) - read
	size := uint64(h.c.mask) + 1
	left := min(waiting, uint64(most))
	for left > 0 {
		start := read & uint64(h.c.mask)
		n := min(left, size-start)
		first := unsafe.Add(unsafe.Pointer(h.c.frames), 4*int(start)*h.channels)
		h.deliver(unsafe.Slice((*float32)(first), int(n)*h.channels))
		read, left = read+n, left-n
		atomic.StoreUint64((*uint64)(&h.c.read), read)
	}
	return waiting > uint64(most)
}
