package spill

import (
	"math"
	"math/cmplx"

	"rollready/dsp/db"
	"rollready/dsp/internal/fft"
)

const (
	leastSeconds = 2.0  // of a voice alone before anything is said of it
	sameSeconds  = 2e-4 // that a voice takes from one microphone to the other and back: less, and both are one voice
	alikeSeconds = 12.0 // of voices that nothing tells apart: a single one may be as loud in both by chance
	leastApartDB = 6.0  // between the heaps of two voices
	heapDB       = 6.0  // a heap reaches so far from its middle
	sharedShare  = 0.01 // of the second microphone's power: less in common is no spill that can be told
	clearPeak    = 6.0  // of the correlation over its rms: a delay is known
)

// Voice is what is known of one person's voice.
type Voice struct {
	Known    bool
	LUFS     float64 // in the person's own microphone, while the person speaks
	SpillDB  float64 // in the other microphone against its own: −Inf if none can be told
	Placed   bool    // the following are known
	LaterS   float64 // how much later it reaches the other microphone
	Inverted bool    // with opposite polarity
}

// Result compares two microphones. A plain value.
type Result struct {
	Voice    [2]Voice // of whom speaks into the first and the second microphone
	Alike    bool     // people speak, as loud in one microphone as in the other: nobody can be told apart
	BorderDB float64  // by how much the first microphone is louder where one person's moments end and the other's begin, once both are known
}

// Known tells that both have spoken.
func (r Result) Known() bool { return r.Voice[0].Known && r.Voice[1].Known }

// ApartLU tells how much louder the first voice is than the second, each in
// its own microphone. known is false unless both have spoken.
func (r Result) ApartLU() (lu float64, known bool) {
	return r.Voice[0].LUFS - r.Voice[1].LUFS, r.Known()
}

// OverLU tells by how much a person's voice is louder in the own microphone than
// the other's there. It depends on neither preamplifier. known is false unless
// both have spoken.
func (r Result) OverLU(who int) (lu float64, known bool) {
	own, other := r.Voice[who], r.Voice[1-who]
	return own.LUFS - other.LUFS - other.SpillDB, r.Known()
}

// Comb is the comb filter that a voice and its spill make where they are summed.
type Comb struct {
	DipDB   float64 // level of the worst dip, against the voice alone: negative
	FirstHz float64 // where the first dip lies
}

// Comb tells what summing both microphones does to a voice; gainDB is by how
// much the other microphone is louder in the sum than in the comparison. ok is
// false where the spill or its delay is not known.
//
// A voice and its copy of r times the amplitude add up to between 1 + r and
// 1 − r; they cancel first where the delay is half a wave.
func (v Voice) Comb(gainDB float64) (c Comb, ok bool) {
	if !v.Known || !v.Placed {
		return c, false
	}
	r := db.ToAmplitude(v.SpillDB + gainDB)
	c.DipDB = db.FromAmplitude(1 - min(r, 1/r))
	delay := math.Abs(v.LaterS)
	if c.FirstHz = 1 / (2 * delay); v.Inverted {
		c.FirstHz = 1 / delay
	}
	return c, true
}

// Opposite tells whether both voices show opposite polarity, where turned says
// that one channel is turned over in the sum, and how deep the worst dip is there:
// in a sum in which the second microphone is so much louder.
func (r Result) Opposite(gainDB float64, turned bool) (dipDB float64, is bool) {
	is = true
	for who, v := range r.Voice {
		comb, known := v.Comb(gainDB * float64(1-2*who))
		is = is && known && v.Inverted != turned
		dipDB = min(dipDB, comb.DipDB)
	}
	return dipDB, is
}

// Result tells what is known now. It takes about a millisecond.
func (m *Meter) Result() Result {
	var r Result
	middles := m.heaps()
	r.Alike = math.IsNaN(middles[0]) && math.IsNaN(middles[1]) && m.seconds(m.moments(0, classes).count) >= alikeSeconds
	for who, middle := range middles {
		if math.IsNaN(middle) {
			continue
		}
		if c := m.heap(middle); c.heard[who]/c.count > m.floor[who]*db.ToPower(overFloorDB/2) { // else nothing of it comes from there
			r.Voice[who] = m.voice(who, c)
		}
	}
	m.middles = [2]float64{math.NaN(), math.NaN()}
	if !r.Known() {
		return r
	}
	r.BorderDB = (middles[0] + middles[1]) / 2
	if across := r.Voice[0].LaterS + r.Voice[1].LaterS; middles[0] > 0 && middles[1] < 0 || r.Voice[0].Placed && r.Voice[1].Placed && math.Abs(across) > sameSeconds {
		m.middles = middles
		return r
	}
	who := 0 // one person, whose soft words drown in the noise of the other microphone
	if middles[0] < 0 {
		who = 1
	}
	one := Result{}
	one.Voice[who] = r.Voice[who]
	return one
}

func differenceDB(class int) float64 { return float64(class)*stepDB - reachDB }

// heaps finds the middle of the level differences of either voice in dB; NaN
// for a voice that was not heard. The border between the heaps is set where
// they are most unlike (N. Otsu's criterion, 1979, from memory).
func (m *Meter) heaps() [2]float64 {
	no := math.NaN()
	border, best := 0, 0.0
	for at := 1; at < classes; at++ {
		low, high := m.moments(0, at), m.moments(at, classes)
		if unlike := low.count * high.count * square(high.mean()-low.mean()); unlike > best {
			border, best = at, unlike
		}
	}
	low, high := m.moments(0, border), m.moments(border, classes)
	if border > 0 && high.mean()-low.mean() >= leastApartDB && m.enough(low.count) && m.enough(high.count) {
		return [2]float64{m.mode(border, classes), m.mode(0, border)}
	}
	whole := m.moments(0, classes)
	switch {
	case !m.enough(whole.count) || math.Abs(whole.mean()) < leastApartDB/2:
		return [2]float64{no, no}
	case whole.mean() > 0:
		return [2]float64{m.mode(0, classes), no}
	}
	return [2]float64{no, m.mode(0, classes)}
}

type moments struct{ count, sum float64 }

func (o moments) mean() float64 { return o.sum / o.count }

func square(x float64) float64 { return x * x }

func (m *Meter) moments(from, to int) (o moments) {
	for i := from; i < to; i++ {
		o.count += m.classes[i].count
		o.sum += m.classes[i].count * differenceDB(i)
	}
	return o
}

// enough tells whether stretches of so much weight make leastSeconds.
func (m *Meter) enough(count float64) bool { return m.seconds(count) >= leastSeconds }

func (m *Meter) seconds(count float64) float64 {
	return count / m.weight * float64(m.size/2) / float64(m.rateHz)
}

// mode gives the difference in dB around which the most stretches lie.
func (m *Meter) mode(from, to int) float64 {
	best, at := -1.0, from
	for i := from; i < to; i++ {
		if n := m.moments(max(from, i-1), min(to, i+2)).count; n > best {
			best, at = n, i
		}
	}
	return differenceDB(at)
}

// heap sums the classes around a middle.
func (m *Meter) heap(middleDB float64) class {
	n := m.last - m.first
	sum := class{power: [2][]float64{make([]float64, n), make([]float64, n)}, shared: make([]complex128, n)}
	for i := range m.classes {
		if c := &m.classes[i]; math.Abs(differenceDB(i)-middleDB) <= heapDB {
			sum.add(c)
		}
	}
	return sum
}

func (c *class) add(o *class) {
	c.count += o.count
	for k := range c.power {
		c.heard[k] += o.heard[k]
		for i, p := range o.power[k] {
			c.power[k][i] += p
		}
	}
	for i, s := range o.shared {
		c.shared[i] += s
	}
}

// voice tells what the stretches say in which one person speaks alone.
func (m *Meter) voice(who int, c class) Voice {
	const offset = -0.691 // of BS.1770
	own, other := c.power[who], c.power[1-who]
	v := Voice{Known: true, LUFS: offset + db.FromPower(c.heard[who]/c.count), SpillDB: math.Inf(-1)}
	stretches := c.count / m.weight
	var voice, spilt, all float64
	for i, s := range c.shared {
		if own[i] == 0 {
			continue
		}
		power := square(cmplx.Abs(s))
		voice += own[i]
		all += other[i]
		spilt += (power/own[i] - other[i]/stretches) * stretches / (stretches - 1) // without what chance has in common
	}
	if spilt <= sharedShare*all || voice == 0 {
		return v
	}
	lag, inverted, clear := m.delay(c)
	if who == 1 {
		lag = -lag
	}
	v.SpillDB = db.FromPower(spilt / voice)
	if clear {
		v.SpillDB -= db.FromPower(square(m.overlap(lag)))
		v.Placed, v.LaterS, v.Inverted = true, lag/float64(m.rateHz), inverted
	}
	return v
}

// overlap is how much of a sound two windows share that hear it so many frames
// apart: the correlation of the Hann window with itself.
func (m *Meter) overlap(lag float64) float64 {
	n, own, shifted := int(math.Abs(lag)), 0.0, 0.0
	for i, w := range m.window {
		own += w * w
		if i >= n {
			shifted += w * m.window[i-n]
		}
	}
	return shifted / own
}

// delay gives by how many frames the second microphone is later than the first.
func (m *Meter) delay(c class) (lag float64, inverted, clear bool) {
	x := make([]complex128, m.size)
	for i, s := range c.shared {
		if p := math.Sqrt(c.power[0][i] * c.power[1][i]); p > 0 {
			x[(m.size-m.first-i)%m.size] = s / complex(p, 0) // mirrored: the transform then runs backwards
		}
	}
	fft.New(m.size).Transform(x)
	at, sum := 0, 0.0
	for i, z := range x {
		sum += square(real(z))
		if near := min(i, m.size-i); near < m.size/4 && math.Abs(real(z)) > math.Abs(real(x[at])) {
			at = i
		}
	}
	peak := real(x[at])
	clear = math.Abs(peak) > clearPeak*math.Sqrt(sum/float64(m.size))
	lag = float64(at) + between(real(x[(at+m.size-1)%m.size]), peak, real(x[(at+1)%m.size]))
	if at > m.size/2 {
		lag -= float64(m.size)
	}
	return lag, peak < 0, clear
}

// between refines a peak by a parabola through its neighbours.
func between(left, peak, right float64) float64 {
	if bend := left - 2*peak + right; bend != 0 {
		return max(-0.5, min((left-right)/2/bend, 0.5))
	}
	return 0
}
