package hearing

import (
	"math"
	"slices"

	"rollready/dsp/db"
)

// Limits of what is a voice (common practice, no source).
const (
	quietShare   = 0.10 // of the memory: the floor is what the rest exceeds
	loudShare    = 0.95
	standsDB     = 9.0  // least distance of both of somebody who speaks
	activeDB     = 6.0  // over the floor: no pause
	activeShare  = 0.4  // of the distance: the same
	whisperDB    = 20.0 // distance of somebody who whispers: nothing of it is voiced
	voicedShare  = 0.25 // of what is no pause
	leastActive  = blocksPerSecond / 2
	leastTurns   = 8 // times a whisper begins in ten seconds: as often as syllables
	mostActive   = 0.85
	recent       = 4 * blocksPerSecond // a voice is looked for in so much
	window       = 10 * blocksPerSecond
	lowestFloor  = 1e-14 // −137 dBFS
	leastHeard   = 2 * blocksPerSecond
	settleBlocks = 2 // filters start
)

// spoken is what is known of who speaks.
type spoken struct {
	last  int64 // last block of a voice, and whether there was one
	ever  bool
	upTo  int64 // blocks sorted into voice and pauses so far
	count int64 // blocks with a voice
}

// ear's view of the blocks from back in time up to now.
func (e *Ear) since(blocks int) (from, to int64) {
	return max(settleBlocks, e.blocks-int64(min(blocks, memory))), e.blocks
}

// levels sorts a figure of the last blocks of a channel; those of digital
// silence are left out.
func (e *Ear) levels(k *channel, blocks int, figure func(b *block) float64) []float64 {
	sorted := k.sorted[:0]
	from, to := e.since(blocks)
	for i := from; i < to; i++ {
		if b := &k.past[i%memory]; b.flat > 0 {
			sorted = append(sorted, figure(b))
		}
	}
	slices.Sort(sorted)
	return sorted
}

func quantile(sorted []float64, share float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[min(len(sorted)-1, int(share*float64(len(sorted))))]
}

func weighted(b *block) float64 { return b.weighted }

// sense is what a channel sounds like as a whole.
type sense struct {
	floor, active float64 // mean squares, A-weighted: of the pauses, and least of what is none
	loud          float64
	speaks        bool
}

// sense tells whether somebody speaks in a channel: the person whose it is, where
// each has an own one.
func (e *Ear) sense(c int) sense {
	k := e.ch[c]
	all := e.levels(k, memory, weighted)
	s := sense{floor: max(lowestFloor, quantile(all, quietShare))}
	s.loud = quantile(e.levels(k, window, weighted), loudShare)
	distance := db.FromPower(s.loud / s.floor)
	s.active = s.floor * db.ToPower(max(activeDB, activeShare*distance))
	if len(all) < leastHeard || distance < standsDB {
		return s
	}
	active, voiced := 0, 0
	from, to := e.since(recent)
	for i := from; i < to; i++ {
		if b := &k.past[i%memory]; b.weighted > s.active && e.owns(c, i) {
			active++
			if b.voiced {
				voiced++
			}
		}
	}
	s.speaks = active >= leastActive && (float64(voiced) >= voicedShare*float64(active) || distance >= whisperDB && e.syllables(c, s.active))
	return s
}

// owns tells whether a block counts for the person whose channel it is: none
// that is as loud elsewhere, where somebody speaks; without people all do.
func (e *Ear) owns(c int, block int64) bool {
	if !e.people {
		return true
	}
	own := e.ch[c].past[block%memory].weighted * e.lift[c]
	for o, k := range e.ch {
		if level := k.past[block%memory].weighted; o != c && level*e.lift[o] >= own && level > k.sense.active {
			return false
		}
	}
	return true
}

// others tells whether somebody else speaks in a block.
func (e *Ear) others(c int, block int64) bool {
	for o, k := range e.ch {
		if o != c && e.people && k.past[block%memory].weighted > k.sense.active && e.owns(o, block) {
			return true
		}
	}
	return false
}

// syllables tells whether a sound comes and goes as a whisper does.
func (e *Ear) syllables(c int, limit float64) bool {
	from, to := e.since(window)
	turns, active, on := 0, 0, false
	for i := from; i < to; i++ {
		now := e.ch[c].past[i%memory].weighted > limit && e.owns(c, i)
		if now {
			active++
		}
		if now && !on {
			turns++
		}
		on = now
	}
	return turns >= leastTurns && active >= 2*turns && float64(active) <= mostActive*float64(to-from)
}

// look brings up to date what was heard.
func (e *Ear) look() {
	for c, k := range e.ch {
		k.sense = e.sense(c)
	}
	h := &e.heard
	h.Seconds = float64(e.blocks) / blocksPerSecond
	if e.people {
		e.lookApart()
	} else {
		e.lookTogether()
	}
	h.SpokenSeconds, h.PauseSeconds = 0, math.Inf(1)
	for c, k := range e.ch {
		of := &h.Channels[c]
		of.SpokenSeconds, of.PauseSeconds = float64(k.speech.count)/blocksPerSecond, math.Inf(1)
		if k.speech.ever {
			of.PauseSeconds = float64(e.blocks-1-k.speech.last) / blocksPerSecond
		}
		h.SpokenSeconds, h.PauseSeconds = max(h.SpokenSeconds, of.SpokenSeconds), min(h.PauseSeconds, of.PauseSeconds)
	}
	e.measure()
}

// lookTogether takes the loudest voice for that of all channels.
func (e *Ear) lookTogether() {
	best := -1
	for c, k := range e.ch {
		if k.sense.speaks && (best < 0 || k.sense.loud > e.ch[best].sense.loud*e.favour(best)) {
			best = c
		}
	}
	if best >= 0 {
		e.heard.Voice = best
	}
	for _, k := range e.ch {
		e.sort(k, e.heard.Voice, best >= 0)
	}
}

// lookApart takes each channel's own voice.
func (e *Ear) lookApart() {
	latest := int64(-1)
	for c, k := range e.ch {
		e.sort(k, c, k.sense.speaks)
		if k.speech.ever && k.speech.last > latest {
			e.heard.Voice, latest = c, k.speech.last
		}
	}
}

// voice is the channel by whose level it is told when the voice of a channel
// speaks.
func (e *Ear) voice(c int) int {
	if e.people {
		return c
	}
	return e.heard.Voice
}

// favour keeps to the channel of the voice where both are about as loud.
func (e *Ear) favour(c int) float64 {
	if c == e.heard.Voice {
		return 2
	}
	return 0.5
}

// sort takes the peaks of the voice in a channel, which of tells, out of the
// blocks that have come; while nobody speaks the last seconds wait.
func (e *Ear) sort(k *channel, of int, speaks bool) {
	p, voice := &k.speech, e.ch[of]
	if !speaks {
		p.upTo = max(p.upTo, e.blocks-recent)
		return
	}
	for i := max(p.upTo, settleBlocks, e.blocks-memory); i < e.blocks; i++ {
		if voice.past[i%memory].weighted <= voice.sense.active || !e.owns(of, i) {
			continue
		}
		p.last, p.ever = i, true
		p.count++
		k.peaks.add(&k.past[i%memory])
	}
	p.upTo = e.blocks
}
