package gap

import "math"

const (
	goneTo           = 0.015 // of the sound beside it: −36 dB
	backTo           = 0.15  // the sound that comes back, of that which went
	edgeSlots        = 2     // in which it goes, and comes back: no voice does either so fast
	waveSlots        = 16    // about the wave of a voice
	steady           = 0.3   // just before it, of the strongest of a wave
	goesOn           = 0.4   // the sound after it, of that before
	leastGone        = 3     // slots of zeros
	leastFaint       = 12    // slots of next to nothing
	leastGoneFrames  = 24    // the same: at low rates a coarse codec stands still so long
	leastFaintFrames = 144
	longDip          = 120
	mostLeft         = 4e-4 // −68 dBFS: after so long, more is a room that something louder has left
	seriesSlots      = 64 + ahead
	evenDips         = 4
	farUnder         = 0.2  // the same: no voice, whatever is beside it
	stillUnder       = 0.3  // so it stays, but for single slots
	backUnder        = 0.5  // and then the room is back
	pulseSlots       = 80   // from one pulse of a creaking voice to the next: no gate shuts so soon after sound
	stillRough       = 0.5  // of the least roughness heard: between the slow waves of rumble the room goes on
	underRoom        = 0.4  // of the least sound heard: a voice that pauses leaves the room's own noise
	leastRoom        = 1e-4 // −80 dBFS: a room as loud never gives zeros
	mostGone         = 2 * slotHz
	mostSilent       = 50  // share of digital silence, inverted: with more there is no room that could go
	coarse           = 8   // steps: sound of few bits that is quieter stands still, or at zero, by itself
	smooth           = 0.1 // of the peak just before: sound that ends lower had come down by itself
)

// hole is one being followed.
type hole struct {
	from    int64   // 0: none
	until   int64   // 0: not over yet
	before  float32 // highest magnitude just before
	strong  float32 // the same of a whole wave
	deep    int     // slots of it, but for its edges
	sum     float32 // of their magnitudes
	rough   float32 // of their roughness
	rising  int     // slots that it has been coming back for
	zeros   bool    // nothing but: no converter gives that
	runOut  bool    // after coming down
	cracked bool    // its begin did
	abrupt  bool    // it began amid a strong wave
	far     bool    // far under the room
}

// add takes a slot of it.
func (h *hole) add(s *slot) {
	h.deep++
	h.sum += s.peak
	h.rough += s.rough
}

// judge looks at the newest slots.
func (c *channel) judge(newest int64, broke func(Kind)) {
	c.follow(newest, broke)
	c.held(newest, broke)
	if c.dips.broke(newest) {
		broke(Dip)
	}
	if k := newest - ahead; k > ahead {
		c.crack(k, broke)
	}
}

// follow looks for the begin and the end of a hole, and then whether the sound
// goes on as it was.
func (c *channel) follow(newest int64, broke func(Kind)) {
	h := &c.hole
	length, peak := newest-h.from, c.at(newest).peak
	switch {
	case h.from == 0:
		c.begin(newest)
	case h.zeros && peak > 0:
		c.over(newest, true, broke)
	case h.zeros:
	case h.until > 0:
		if newest == h.until+waveSlots {
			c.over(h.until, mostSilent*c.silent < newest && c.isDip(c.peak(h.until, newest)), broke)
		}
	case length > mostGone:
		c.over(newest, false, broke)
	case peak <= 1.5*goneTo*h.before, h.far && peak <= stillUnder*c.least:
		h.rising = 0
		h.add(c.at(newest))
	case length >= c.faint && (peak >= backTo*h.before || h.far && peak >= backUnder*c.least):
		h.until = newest
	case h.rising < edgeSlots:
		h.rising++ // it may be on its way
	default:
		c.over(newest, false, broke)
	}
}

// series is dips that came soon after each other: if they came evenly, as between
// the bursts of a transmitter, they are no breaks.
type series struct {
	last, apart int64 // begin of the newest, and how long after the one before
	even        int   // so many came at the same distance
	all         int   // the same, of all series
	dips        int   // how many there were
	pending     bool
	burst       float64 // slots from one burst of a telephone's transmitter to the next
}

// dip takes one that began at a slot.
func (s *series) dip(at int64) {
	apart := at - s.last
	off := math.Abs(math.Remainder(float64(apart), s.burst))
	if s.pending && (max(apart-s.apart, s.apart-apart) <= 1 || off <= 1) {
		s.even++
	}
	s.last, s.apart, s.pending = at, apart, true
	s.dips++
}

// broke tells, once, that a series is over and was a break. Where a transmitter was
// heard, none is any more.
func (s *series) broke(newest int64) bool {
	if !s.pending || newest-s.last < seriesSlots {
		return false
	}
	s.pending = false
	s.all += s.even
	s.even = 0
	return s.all < evenDips || 2*s.all < s.dips
}

// isDip tells whether the sound was away: the room with it, and it came back as
// it was. After longer it must have gone in the middle of a strong wave: a voice
// closes its mouth.
func (c *channel) isDip(after float32) bool {
	h := &c.hole
	if h.sum > underRoom*c.least*float32(h.deep) || h.rough > stillRough*c.leastRough*float32(h.deep) {
		return false
	}
	if h.until-h.from > longDip && h.sum > mostLeft*float32(h.deep) || c.lone > c.gone*c.holes {
		return false // what is left is the room, or the source's own zeros come and go
	}
	if h.sum < farUnder*c.least*float32(h.deep) {
		return h.far || after >= backTo*h.strong
	}
	if h.until-h.from > longDip && h.before < 0.5*h.strong {
		return false
	}
	return after >= max(goesOn*h.strong, nearLoud*c.loudest)
}

// begin looks whether sound has gone in the last slots: from amid a wave to next
// to nothing.
func (c *channel) begin(newest int64) {
	k := newest - c.gone + 1 // the first in which it is gone
	gone := c.peak(k, newest)
	if k < waveSlots || gone > 0 && (k-c.sounded > waveSlots || c.at(newest).peak > goneTo*c.loudest) {
		c.beginFar(newest)
		return
	}
	h := c.holeAt(k)
	h.abrupt = gone == 0 || h.before >= steady*h.strong
	if h.zeros = gone == 0; h.zeros {
		near := c.peak(k-4, k-1)
		h.runOut = c.at(k-1).left < smooth*near
		if near > max(loud, coarse*c.step) {
			c.hole = h
		}
		return
	}
	if h.before > loud && gone <= goneTo*h.before && (h.abrupt || gone < farUnder*c.least) && h.strong >= nearLoud*c.loudest {
		c.hole = h
		return
	}
	c.beginFar(newest)
}

// beginFar looks whether sound has gone, soon after a wave, from the room's own
// noise to far under it.
func (c *channel) beginFar(newest int64) {
	k := newest - c.faint + 1
	if !c.room() || k-c.sounded > pulseSlots || c.at(newest).peak > stillUnder*c.least || c.peak(k, newest) > stillUnder*c.least {
		return
	}
	h := c.holeAt(k)
	h.far = h.before >= c.least
	for i := k; i <= newest; i++ {
		h.add(c.at(i))
	}
	if h.far {
		c.hole = h
	}
}

// holeAt is one that begins at a slot.
func (c *channel) holeAt(k int64) hole {
	return hole{from: k, before: c.peak(k-edgeSlots-4, k-edgeSlots), strong: c.peak(k-waveSlots, k-1)}
}

// room tells that the least sound is known, and is a room's: zeros come in
// breaks alone.
func (c *channel) room() bool {
	return c.least > leastRoom && c.least < 1 && c.lone <= c.gone*c.holes
}

// over ends a hole: it is one if the sound went on behind it. Its edges may
// still have cracked.
func (c *channel) over(until int64, is bool, broke func(Kind)) {
	h := c.hole
	c.hole = hole{}
	switch {
	case is:
		c.quietUntil = until + 8
		if h.runOut || h.zeros && h.strong < nearLoud*c.loudest && mostSilent*c.silent >= until {
			c.ranOut++
			c.silent += until - h.from
		}
		if h.zeros {
			c.holes++
			broke(Hole)
		} else {
			c.dips.dip(h.from)
		}
	case h.cracked && h.abrupt:
		broke(Crack)
	}
}

const (
	leastHeld = 4 // slots
	inside    = 0.8
	heldLoud  = 0.05 // −26 dBFS: quieter sound of few bits stands still by itself
	moved     = 0.14 // from a coarse code to the next it is less
)

// held looks for samples that are all the same amid sound. At the top of a
// wave it would be clipping.
func (c *channel) held(newest int64, broke func(Kind)) {
	s := c.at(newest)
	if s.still && s.peak > 0 && (c.hold == 0 || c.at(newest-1).first == s.first) {
		c.hold++
		return
	}
	n := int64(c.hold)
	c.hold = 0
	if n < leastHeld || n > ringSlots/2 {
		return
	}
	level := c.at(newest - 1).peak
	before := c.peak(newest-n-24, newest-n-1)
	if before > heldLoud && before >= nearLoud*c.loudest && level < inside*before && s.rough > max(moved*before, coarse*c.step) {
		c.quietUntil = newest + 8
		broke(Hold)
	}
}

const (
	crackJump = 2.2  // sound beside it that differs more begins or ends
	crackOver = 6.0  // times as rough as anything near
	crackLoud = 0.1  // of the loudest of late
	amid      = 0.12 // the same, of the sound beside it: what is quieter may be a gate's …
	towers    = 10.0 // … which cannot be so many times as rough as what it switches
	nearSlots = 8
	wideSlots = 48
)

// crack looks whether slot k is far rougher than anything near it.
func (c *channel) crack(k int64, broke func(Kind)) {
	top := c.at(k).rough
	if top < crackLoud*c.loudest || top < loud || k < c.quietUntil {
		return
	}

	if c.at(k+2).peak == 0 || c.at(k-2).peak == 0 {
		return // digital silence begins or ends
	}
	before, after := c.peak(k-waveSlots, k-2), c.peak(k+2, k+waveSlots)
	if (after > crackJump*before || before > crackJump*after) && top < towers*max(before, after) {
		return // something begins or ends
	}
	if beside := max(before, after); beside < amid*c.loudest && top < towers*beside {
		return
	}
	least := top / crackOver
	if c.rough(k+2, k+nearSlots) > least || c.rough(k-nearSlots, k-2) > least || c.at(k-1).rough > top || c.at(k+1).rough >= top {
		return
	}
	beside := max(c.rough(k+2, k+wideSlots), c.rough(k-wideSlots, k-2))
	if beside > least {
		return
	}
	if beside > least/2 && !c.doubted { // once, a voice behind a codec does it
		c.doubted = true
		return
	}
	if c.hole.from > 0 && k > c.hole.from-4 {
		c.hole.cracked = true
		return
	}
	broke(Crack)
}
