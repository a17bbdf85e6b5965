package softer

import (
	"math"
	"slices"
)

const (
	lowPart      = 0.5  // of the hop's highest: cut by nothing
	leastLow     = 12   // samples
	crestPart    = 0.8  // of it: where cuts are
	ceilingPart  = 0.3  // of the recording's highest: cuts are all about as high
	surelyBy     = 8.0  // times what the channels else differ by in the hop, rms
	usuallyBy    = 4.0  // times what they mostly do, for its height
	leastBy      = 0.01 // of the crest, or so much
	limitedBy    = 0.02 // a hop with the channels so much nearer is limited …
	limitedTimes = 6.0  // … or by so many times what they differ by
	sameTop      = 0.05 // of it: the lower channel is at the ceiling as well
	near         = 96   // frames around a crest
)

// overloaded looks for crests of the louder channel that the other promises and
// that are not there, and notes when. Such a hop says nothing of the distance.
func (m *Meter) overloaded(louder int) bool {
	a, b := m.x[louder], m.x[1-louder]
	b = b[:len(a)]
	top, topB := 0.0, 0.0
	for i, v := range a {
		top, topB = max(top, math.Abs(v)), max(topB, math.Abs(b[i]))
	}
	l, ok := fit(a, b, lowPart*top)
	usual := m.usual(louder)
	switch {
	case !ok && !m.known():
		return true // nothing to tell by
	case !ok:
		l = line{factor: usual}
	case l.factor <= 0:
		return false
	case m.known() && top > crestPart*m.top && l.factor > usual*(1+max(limitedBy, limitedTimes*m.apart)):
		m.limits++
		m.limited, m.pending = true, Stretch{}
		return false
	}
	wasLimited := m.limited
	m.limited = false
	apart := l.apart / l.factor
	m.top = max(m.top, top)
	limit := max(surelyBy*apart, usuallyBy*m.apart*top, leastBy*top)
	first, last, any := l.crests(a, b, top, limit)
	if m.at-m.pending.To >= int64(m.size) {
		m.settle()
	}
	if !any || top < ceilingPart*m.top {
		if ok {
			m.apart += (apart/top - m.apart) / float64(m.counted+1)
		}
		return false
	}
	m.settle()
	m.cuts++
	if !wasLimited {
		m.pending = Stretch{m.at + int64(first), m.at + int64(last), math.Abs(topB-top) < sameTop*top, top, louder}
	}
	return true
}

// crests gives where the crests begin and end that are cut.
func (l *line) crests(a, b []float64, top, limit float64) (first, last int, any bool) {
	lacks := func(i int) bool { return l.lacks(a[i], b[i], crestPart*top, limit) }
	for i := 0; i < len(a); i++ {
		if !lacks(i) {
			continue
		}
		from, to := i, i+1
		for i++; i < min(to+near, len(a)); i++ {
			if lacks(i) {
				to = i + 1
			}
		}
		if l.cut(a, b, from, to, top, limit) {
			if !any {
				first = from
			}
			last, any = to, true
		}
	}
	return first, last, any
}

// lacks tells that a crest should be higher by more than a limit.
func (l *line) lacks(a, b, crest, limit float64) bool {
	got, want := math.Abs(a), (b-l.zero)/l.factor
	return got > crest && math.Abs(want)-got > limit && want*a > 0
}

// cut tells that it should also by what is low around it: where a limiter turns
// down, or a zero line drifts, that goes along.
func (l *line) cut(a, b []float64, from, to int, top, limit float64) bool {
	for _, near := range [...]int{near / 2, near} {
		start, end := max(0, from-near), min(len(a), to+near)
		here, ok := fit(a[start:end], b[start:end], lowPart*top)
		if ok && here.factor > 0 && !here.lack(a[from:to], b[from:to], crestPart*top, limit) {
			return false
		}
	}
	return true
}

// lack tells that any crest should be higher.
func (l *line) lack(a, b []float64, crest, limit float64) bool {
	for i, v := range a {
		if l.lacks(v, b[i], crest, limit) {
			return true
		}
	}
	return false
}

// line is the second channel of the first, by a straight line.
type line struct{ factor, zero, apart float64 } // apart: the rms of what is left

// fit gives the line by what lies under a level, where there is enough of it.
func fit(a, b []float64, under float64) (l line, ok bool) {
	var sa, sb, aa, ab, bb, n float64
	for i, v := range a {
		if w := b[i]; math.Abs(v) < under {
			sa, sb, aa, ab, bb, n = sa+v, sb+w, aa+v*v, ab+v*w, bb+w*w, n+1
		}
	}
	aa, ab, bb = aa-sa*sa/n, ab-sa*sb/n, bb-sb*sb/n
	if n < leastLow || !(aa > 0) {
		return l, false
	}
	l.factor = ab / aa
	l.zero = (sb - l.factor*sa) / n
	l.apart = math.Sqrt(max(0, bb-l.factor*ab) / n)
	return l, true
}

// settle keeps the newest cut: no limiter turned down just before or after.
func (m *Meter) settle() {
	s := m.pending
	m.pending = Stretch{}
	if s.To == 0 {
		return
	}
	all := m.cut[s.louder]
	if last := len(all) - 1; last >= 0 && s.From-all[last].To < int64(joinSeconds*float64(m.rateHz)) || len(all) == mostStretches {
		all[last].To, all[last].Both, all[last].top = s.To, all[last].Both || s.Both, max(s.top, all[last].top)
		return
	}
	m.cut[s.louder] = append(all, s)
}

// Found tells whether what came has a safety layout, and what of it.
func (m *Meter) Found() (f Found, is bool) {
	m.settle()
	if m.counted < leastHops {
		return f, false
	}
	var c class
	around := int(math.Round(aroundDB * perDB))
	for k := max(0, m.commonest-around); k <= min(classes-1, m.commonest+around); k++ {
		c.add(&m.classes[k])
	}
	f.Louder = 0
	f.LowerDB = -c.apartDB()
	if f.LowerDB < 0 {
		f.Louder, f.LowerDB = 1, -f.LowerDB
	}
	f.Cut = slices.DeleteFunc(slices.Clone(m.cut[f.Louder]), func(s Stretch) bool {
		return s.top < ceilingPart*m.top || m.limits > m.cuts && s.To-s.From < int64(m.size) // a limiter that begins to turn down
	})
	return f, f.LowerDB >= leastDB && f.LowerDB <= mostDB && float64(c.hops) >= leastShare*float64(m.counted) && c.same()
}

// apartDB is the level of the second channel over the first. Noise in the lower
// one does not count.
func (c *class) apartDB() float64 {
	if c.bb < c.aa {
		return 20 * math.Log10(c.ab/c.aa)
	}
	return -20 * math.Log10(c.ab/c.bb)
}

// same tells that both are one sound.
func (c *class) same() bool {
	waves, highs := c.ab/math.Sqrt(c.aa*c.bb), c.dab/math.Sqrt(c.daa*c.dbb)
	if !(waves > sameWave) || !(highs > sameHighs) {
		return false
	}
	later := (c.ahead - c.behind) / 2 / (2*c.dab - c.ahead - c.behind)
	return math.Abs(later) < laterFrames
}
