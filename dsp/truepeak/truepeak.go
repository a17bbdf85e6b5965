// Package truepeak finds the peak of the sound between the samples, after
// ITU-R BS.1770-5 Annex 2.
//
// The printed filter interpolates 4× at 44.1 and 48 kHz. From 88.2 kHz on only
// its two inner phases are computed, and from 176.4 kHz on the samples lie
// close enough by themselves. No printed phase passes the samples unchanged, so
// the sample peak is always taken too.
package truepeak

import "math"

const (
	chunk = 256 // frames worked on at a time
	group = 16  // frames judged together; at least history
)

// Meter keeps the true peak of each channel. The filter looks ahead six
// frames: the last six frames of a signal are only taken as samples. Not safe
// for concurrent use.
type Meter struct {
	pairs []pair    // computed at this rate; none: sample peak only
	gain  []float64 // of each: greatest factor over its window's peak
	ch    []channel
}

type channel struct {
	x             [history + chunk]float32 // the last frames of the previous chunk, then this one
	before        float64                  // peak of the group before
	recent, older float64                  // since the last TakeMax, and until then
}

// New makes a meter for interleaved blocks of so many channels.
func New(rateHz, channels int) *Meter {
	m := &Meter{ch: make([]channel, channels)}
	if rateHz < 160000 {
		m.pairs = append(m.pairs, newPair(innerPair))
	}
	if rateHz < 80000 {
		m.pairs = append(m.pairs, newPair(outerPair))
	}
	for i := range m.pairs {
		m.gain = append(m.gain, m.pairs[i].gain()*(1+1e-12)) // rounding must not break the bound
	}
	return m
}

// Process takes interleaved frames. Values that are not finite count as
// silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	n := len(m.ch)
	for len(block) > 0 {
		frames := min(chunk, len(block)/n)
		if frames == 0 {
			return
		}
		for c := range m.ch {
			m.ch[c].fill(block[c:frames*n], n, frames)
			m.channel(&m.ch[c], frames)
		}
		block = block[frames*n:]
	}
}

// fill takes one channel's samples out of interleaved frames, behind the
// window kept from before.
func (c *channel) fill(block []float32, stride, frames int) {
	dst := c.x[history : history+frames]
	for i := range dst {
		dst[i] = block[i*stride]
	}
}

// channel judges a chunk group by group. A group whose neighbourhood, times
// a pair's greatest gain, can't beat the maximum is not interpolated by it;
// the result is the same.
func (m *Meter) channel(c *channel, frames int) {
	for at := 0; at < frames; at += group {
		end := min(at+group, frames)
		peak := groupPeak(c.x[history+at : history+end])
		c.recent = max(c.recent, peak)
		around := max(peak, c.before)
		for i := range m.pairs {
			if around*m.gain[i] > c.recent {
				c.recent = m.pairs[i].peak(c.x[at:history+end], c.recent)
			}
		}
		c.before = peak
		if end-at < group {
			c.before = max(peak, groupPeak(c.x[max(0, history+end-group):history+end]))
		}
	}
	copy(c.x[:history], c.x[frames:frames+history])
}

const magnitude = 0x7fffffff // all bits of a float32 but the sign

// groupPeak gives the greatest magnitude, and silences what is not finite.
// Magnitudes of floats order like their bits.
func groupPeak(x []float32) float64 {
	var top uint32
	for _, v := range x {
		top = max(top, math.Float32bits(v)&magnitude)
	}
	if top < 0x7f800000 {
		return float64(math.Float32frombits(top))
	}
	for i, v := range x {
		if math.Float32bits(v)&magnitude >= 0x7f800000 {
			x[i] = 0
		}
	}
	return groupPeak(x)
}

// peak gives the greatest magnitude of the pair's two phases over all windows
// of x, or top if none is greater.
func (p *pair) peak(x []float32, top float64) float64 {
	if windows := (len(x) - history) &^ 3; four && windows > 0 {
		top = peakOfFours(p, x[:windows+history], top)
		x = x[windows:]
	}
	return p.peakOfEach(x, top)
}

func (p *pair) peakOfEach(x []float32, top float64) float64 {
	e0, e1, e2, e3, e4, e5 := p.even[0], p.even[1], p.even[2], p.even[3], p.even[4], p.even[5]
	o0, o1, o2, o3, o4, o5 := p.odd[0], p.odd[1], p.odd[2], p.odd[3], p.odd[4], p.odd[5]
	for len(x) >= tapCount {
		w := (*[tapCount]float32)(x)
		a, b := float64(w[0]), float64(w[11])
		even, odd := e0*(a+b), o0*(a-b)
		a, b = float64(w[1]), float64(w[10])
		even, odd = even+e1*(a+b), odd+o1*(a-b)
		a, b = float64(w[2]), float64(w[9])
		even, odd = even+e2*(a+b), odd+o2*(a-b)
		a, b = float64(w[3]), float64(w[8])
		even, odd = even+e3*(a+b), odd+o3*(a-b)
		a, b = float64(w[4]), float64(w[7])
		even, odd = even+e4*(a+b), odd+o4*(a-b)
		a, b = float64(w[5]), float64(w[6])
		even, odd = even+e5*(a+b), odd+o5*(a-b)
		if y := abs(even) + abs(odd); y > top {
			top = y
		}
		x = x[1:]
	}
	return top
}

func abs(x float64) float64 { return math.Abs(x) }

// TakeMax gives the greatest amplitude of a channel since the last TakeMax
// and starts anew.
func (m *Meter) TakeMax(ch int) float64 {
	c := &m.ch[ch]
	taken := c.recent
	c.older, c.recent = max(c.older, taken), 0
	return taken
}

// Max gives the greatest amplitude of a channel since the start or Reset.
func (m *Meter) Max(ch int) float64 { return max(m.ch[ch].older, m.ch[ch].recent) }

// Reset forgets everything.
func (m *Meter) Reset() { clear(m.ch) }
