package session

import (
	"math"
	"time"
)

// Figures of what never came (common practice, no source).
const (
	goneEvery = time.Second
	goneLeast = 100 * time.Millisecond // less is how unevenly sound may come
)

// gone finds frames that an input never delivered although it goes on: the clock
// ran on, and they did not come late either.
type gone struct {
	rateHz int
	began  time.Time
	frames int64         // that came since
	until  time.Time     // of this second
	least  time.Duration // by which they are late, in this second
	before time.Duration // in the one before
	usual  time.Duration // while none was missing
	known  bool
}

func (g *gone) begin(now time.Time, rateHz int) {
	*g = gone{rateHz: rateHz, began: now, until: now.Add(goneEvery), least: math.MaxInt64}
}

// look gives how many frames never came, once they have been missing for two
// seconds; all that came by now must be counted.
func (g *gone) look(now time.Time) (lost int64) {
	if g.frames == 0 {
		g.begin(now, g.rateHz) // devices take their time to start
	}
	g.least = min(g.least, now.Sub(g.began)-time.Duration(float64(g.frames)/float64(g.rateHz)*float64(time.Second)))
	if now.Before(g.until) {
		return 0
	}
	late, settled := g.least, (g.least-g.before).Abs() < goneLeast/2
	g.until, g.least, g.before = now.Add(goneEvery), math.MaxInt64, late
	switch {
	case !g.known || late < g.usual+goneLeast:
		g.known, g.usual = true, late
	case settled:
		lost = int64(math.Round((late - g.usual).Seconds() * float64(g.rateHz)))
		g.usual = late
	}
	return lost
}
