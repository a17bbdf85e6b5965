package level

import "math"

// parts is how finely a hold measures its time: a peak stays for the hold
// time, and at most for a sixteenth of it longer.
const parts = 16

// Hold is the highest level within the hold time. It is moved once a hop, by
// counting, so a file gives the same holds at any speed.
type Hold struct {
	highest [parts + 1]float64 // one per part of the hold time; [0] is the newest
	each    int                // hops per part; 0: no hold
	at      int                // hops in the newest part
	forever bool
	last    float64
}

// NewHold makes a hold of so many seconds: 0 holds nothing, +Inf until Clear.
func NewHold(seconds float64) Hold {
	h := Hold{}
	h.Clear()
	h.SetSeconds(seconds)
	return h
}

// SetSeconds changes the hold time. What is held now stays for the new time.
func (h *Hold) SetSeconds(seconds float64) {
	held := h.DBFS()
	h.Clear()
	h.forever = math.IsInf(seconds, 1)
	h.each = 0
	if seconds > 0 && !h.forever {
		h.each = int(math.Ceil(min(seconds, 1e6) * HopsPerSecond / parts))
	}
	h.highest[0], h.last = held, held
}

// Clear forgets what is held.
func (h *Hold) Clear() {
	for i := range h.highest {
		h.highest[i] = math.Inf(-1)
	}
	h.at, h.last = 0, math.Inf(-1)
}

// Push moves the hold by one hop whose highest level is given.
func (h *Hold) Push(levelDBFS float64) {
	h.last = levelDBFS
	if h.each > 0 && h.at == h.each {
		copy(h.highest[1:], h.highest[:parts])
		h.highest[0], h.at = levelDBFS, 0
	}
	h.at++
	h.highest[0] = max(h.highest[0], levelDBFS)
}

// DBFS is the level held; without a hold time that of the last hop.
func (h *Hold) DBFS() float64 {
	if h.each == 0 && !h.forever {
		return h.last
	}
	held := math.Inf(-1)
	for _, v := range h.highest {
		held = max(held, v)
	}
	return held
}
