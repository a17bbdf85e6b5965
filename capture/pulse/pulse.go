// Package pulse feels whether something still calls: an input that delivers, an output that asks.
//
// Devices lie: a stop notice may never come. What counts is whether calls still
// arrive, by a clock that knows when we slept ourselves.
package pulse

import "time"

// LostAfter is how long no call may come before a device counts as lost.
const LostAfter = 600 * time.Millisecond

// lateTick is how long after the last look we slept ourselves: no reason to
// blame a device.
const lateTick = 250 * time.Millisecond

// Pulse remembers when a count last moved. The zero Pulse is ready: Begin it.
// One goroutine uses it.
type Pulse struct {
	count  int64
	moved  time.Time
	looked time.Time
}

// Begin begins anew: a count of zero counts as moved at an instant, which may
// lie ahead where something may take its time at first.
func (p *Pulse) Begin(at time.Time) { *p = Pulse{moved: at} }

// Look takes the count at an instant, and tells whether it moved since.
func (p *Pulse) Look(now time.Time, count int64) (moved bool) {
	moved = count != p.count
	if late := now.Sub(p.looked) > lateTick; (moved || late) && now.After(p.moved) {
		p.moved = now
	}
	p.count, p.looked = count, now
	return moved
}

// Count is the count at the last look.
func (p *Pulse) Count() int64 { return p.count }

// Moved is when the count last moved, or we last slept.
func (p *Pulse) Moved() time.Time { return p.moved }

// Still is for how long it has not moved.
func (p *Pulse) Still(now time.Time) time.Duration { return now.Sub(p.moved) }
