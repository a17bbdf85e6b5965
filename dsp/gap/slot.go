package gap

import "math"

// slot is what is kept of a slot.
type slot struct {
	peak  float32 // highest magnitude
	rough float32 // highest fourth difference: what no band-limited sound has much of
	first float32
	still bool    // every sample is the same
	left  float32 // magnitude of the last sample that is not zero
}

// channel follows one channel.
type channel struct {
	now        scan
	ring       [ringSlots]slot
	loudest    float32 // falls by a third in a second
	sounded    int64   // the last slot that was loud
	step       float32 // least magnitude but zero: of few bits, it is coarse
	least      float32 // of sound that was not away: the room's; doubles in half a minute
	leastRough float32 // the same of its roughness, which no rumble has
	spell      spell
	hole       hole
	dips       series
	gone       int64 // least slots of zeros
	faint      int64 // of next to nothing
	hold       int   // slots of the present hold
	doubted    bool  // a crack that may be none came by itself
	quietUntil int64 // cracks before that belong to something else
	holes      int64 // of zeros
	ranOut     int64 // those that began where the sound had come down
	silent     int64 // slots of the source's own digital silence
	lone       int64 // of them not in holes, but for the first of each
}

// scan is the present slot. Magnitudes are compared as bits, which order as
// the numbers do.
type scan struct {
	top, differs, left uint32
	rough              uint32
	first              uint32
	begun              bool
	x, d1, d2, d3      float32
}

const magnitude = 1<<31 - 1

// scan takes samples of the present slot.
func (c *channel) scan(block []float32, stride int) {
	s := &c.now
	if !s.begun {
		s.first, s.begun = math.Float32bits(block[0]), true
	}
	top, differs, left, rough := s.top, s.differs, s.left, s.rough
	x, d1, d2, d3 := s.x, s.d1, s.d2, s.d3
	for i := 0; i < len(block); i += stride {
		v := block[i]
		bits := math.Float32bits(v)
		differs |= bits ^ s.first
		bits &= magnitude
		top = max(top, bits)
		if bits != 0 {
			left = bits
		}
		e1 := v - x
		e2 := e1 - d1
		e3 := e2 - d2
		e4 := e3 - d3
		x, d1, d2, d3 = v, e1, e2, e3
		rough = max(rough, math.Float32bits(e4)&magnitude)
	}
	s.top, s.differs, s.left, s.rough = top, differs, left, rough
	s.x, s.d1, s.d2, s.d3 = x, d1, d2, d3
}

// endSlot keeps the present slot.
func (c *channel) endSlot(at int64) {
	s := &c.now
	peak := float(s.top)
	*c.at(at) = slot{peak: peak, rough: float(s.rough), first: math.Float32frombits(s.first), still: s.differs == 0, left: float(s.left)}
	if left := c.at(at).left; left > 0 && left < c.step {
		c.step = left
	}
	if c.loudest *= 1 - 1.0/(3*fadeSlots); peak > c.loudest {
		c.loudest = peak
	}
	if peak >= nearLoud*c.loudest {
		c.sounded = at
	}
	if peak == 0 && c.hole.from == 0 {
		c.silent++
		c.lone++
	}
	c.quieter(peak, float(s.rough))
	s.top, s.differs, s.rough, s.begun = 0, 0, 0, false
}

// spell is a stretch whose mean magnitude is taken.
type spell struct {
	slots      int
	sum, rough float32
	broken     bool
}

const spellSlots = 32

// quieter follows the least sound. What is away, or may be, does not count.
func (c *channel) quieter(peak, rough float32) {
	s := &c.spell
	s.sum += peak
	s.rough += rough
	s.broken = s.broken || peak == 0 || c.hole.from > 0
	if s.slots++; s.slots < spellSlots {
		return
	}
	c.least *= 1 + 1.0/(30*slotHz/spellSlots)
	c.leastRough *= 1 + 1.0/(30*slotHz/spellSlots)
	if mean := s.rough / spellSlots; !s.broken && mean < c.leastRough {
		c.leastRough = mean
	}
	if mean := s.sum / spellSlots; !s.broken && mean < c.least {
		c.least = mean
	}
	*s = spell{}
}

// float reads a magnitude; what is not finite is silence.
func float(bits uint32) float32 {
	if bits >= 0x7f800000 {
		return 0
	}
	return math.Float32frombits(bits)
}

// at gives a slot that is still remembered; an empty one before the first.
func (c *channel) at(k int64) *slot { return &c.ring[k&(ringSlots-1)] }

// peak gives the highest magnitude from one slot to another.
func (c *channel) peak(from, to int64) (top float32) {
	for k := from; k <= to; k++ {
		top = max(top, c.ring[k&(ringSlots-1)].peak)
	}
	return top
}

func (c *channel) rough(from, to int64) (top float32) {
	for k := from; k <= to; k++ {
		top = max(top, c.ring[k&(ringSlots-1)].rough)
	}
	return top
}
