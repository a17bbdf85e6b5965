package desk

import "sync/atomic"

// Order tells which of several answers from the disk is the newest: the one
// whose reading began last, whenever it was asked for. An action's list may be
// asked for first and read last.
type Order struct {
	reads atomic.Uint64
	shown uint64
}

// Reading numbers a reading that begins now; any goroutine may call it.
func (o *Order) Reading() uint64 { return o.reads.Add(1) }

// Newest reports whether no later reading was shown yet, and takes this one as
// shown then.
func (o *Order) Newest(reading uint64) bool {
	if reading < o.shown {
		return false
	}
	o.shown = reading
	return true
}
