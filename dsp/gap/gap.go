// Package gap finds where the sound broke: holes in which it is gone, blocks
// that came twice, samples that were held, and the cracks of frames that were
// left out or spoilt. Each channel is watched by itself.
package gap

import (
	"math"

	"rollready/dsp/hops"
)

// Kind is a way of breaking.
type Kind int

// The kinds.
const (
	Hole   Kind = iota // nothing but zeros, amid sound
	Dip                // next to nothing for a while, amid sound, and back at once
	Repeat             // the same frames twice
	Hold               // one sample held
	Crack              // a click, or a step where frames were left out
	Kinds              // how many there are
)

// All figures here are common practice without a source, set by trial with
// computed scenes.
const (
	slotHz       = 4000  // slots per second: what is looked at together
	leastSlot    = 4     // frames
	ringSlots    = 128   // that are remembered, a power of two
	loud         = 0.002 // −54 dBFS: quieter sound may well end in zeros
	ahead        = 52    // slots heard before one is judged
	together     = 0.005 // seconds: breaks of channels so near are one
	fadeSlots    = slotHz
	spliceSlots  = ringSlots / 2
	burstSeconds = 60e-3 / 13 // 3GPP TS 45.002: eight slots of 15/26 ms
	nearLoud     = 0.2        // of the loudest in the last second: the sound itself, no tail of it
)

// Meter counts breaks. One goroutine uses it.
type Meter struct {
	slot    hops.Hops
	slots   int64
	ch      []channel
	repeats repeats
	near    int64          // slots that are together
	burst   float64        // slots from one burst of a telephone's transmitter to the next
	last    [Kinds]int64   // slot of the last break
	count   [Kinds]int64   // in any channel
	gone    [][Kinds]int64 // per channel
}

// New makes a meter for interleaved blocks of so many channels.
func New(rateHz, channels int) *Meter {
	m := &Meter{slot: hops.Hops{Channels: channels, Frames: max(leastSlot, rateHz/slotHz)}, ch: make([]channel, channels), gone: make([][Kinds]int64, channels)}
	m.near = int64(together * float64(rateHz) / float64(m.slot.Frames))
	m.burst = burstSeconds * float64(rateHz) / float64(m.slot.Frames)
	m.repeats = newRepeats(rateHz, channels)
	m.Reset()
	return m
}

// Reset forgets everything.
func (m *Meter) Reset() {
	m.slot.Reset()
	m.slots = 0
	m.count = [Kinds]int64{}
	clear(m.gone)
	for k := range m.last {
		m.last[k] = math.MinInt64 / 2
	}
	for c := range m.ch {
		m.ch[c] = channel{step: math.MaxFloat32, least: math.MaxFloat32, leastRough: math.MaxFloat32,
			gone: max(leastGone, leastGoneFrames/int64(m.slot.Frames)), faint: max(leastFaint, leastFaintFrames/int64(m.slot.Frames))}
		m.ch[c].dips.burst = m.burst
	}
	m.repeats.reset()
}

// Process takes interleaved frames. It does not allocate.
func (m *Meter) Process(block []float32) {
	m.repeats.process(block, m.repeated)
	m.slot.Cut(block, m.scan, m.endSlot)
}

func (m *Meter) scan(part []float32) {
	for c := range m.ch {
		m.ch[c].scan(part[c:], len(m.ch))
	}
}

func (m *Meter) endSlot() {
	for c := range m.ch {
		m.ch[c].endSlot(m.slots)
		m.ch[c].judge(m.slots, func(k Kind) { m.broke(k, c) })
	}
	m.slots++
}

// Splice tells that what comes now does not go on from what came.
func (m *Meter) Splice() {
	for c := range m.ch {
		k := &m.ch[c]
		k.hole, k.hold, k.quietUntil = hole{}, 0, m.slots+spliceSlots
	}
}

// broke counts a break of one channel; those of several at once are one.
func (m *Meter) broke(k Kind, ch int) {
	m.gone[ch][k]++
	if m.slots-m.last[k] > m.near {
		m.count[k]++
	}
	m.last[k] = m.slots
}

// repeated counts a block that came twice, in every channel.
func (m *Meter) repeated() {
	m.count[Repeat]++
	for c := range m.gone {
		m.gone[c][Repeat]++
	}
}

// Of gives the breaks of a kind so far, those of several channels at once as
// one.
func (m *Meter) Of(k Kind) int64 {
	if k == Hole && m.ranOut() {
		return 0
	}
	return m.count[k]
}

// Count gives the breaks of all kinds.
func (m *Meter) Count() (sum int64) {
	for k := range Kinds {
		sum += m.Of(k)
	}
	return sum
}

// On gives the breaks of a kind in one channel.
func (m *Meter) On(ch int, k Kind) int64 {
	if k == Hole && m.ranOut() {
		return 0
	}
	return m.gone[ch][k]
}

// ranOut tells that zeros often follow sound that had come down by itself:
// then they are the source's own silence. One hole in ten looks so by chance; in
// a room that is hardly ever silent it is nothing else.
func (m *Meter) ranOut() bool {
	holes, out := int64(0), int64(0)
	for c := range m.ch {
		k := &m.ch[c]
		holes += m.gone[c][Hole]
		if !k.room() || mostSilent*k.silent >= m.slots {
			out += k.ranOut
		}
	}
	return 3*out > holes
}
