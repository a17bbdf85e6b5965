package live

import (
	"math"
	"slices"

	"rollready/dsp"
	"rollready/dsp/hearing"
	"rollready/dsp/verdict"
)

// The fall of the bars that readings carry, and the most a reading is late.
const (
	barDBPerSecond = 20 / 1.7
	barSeconds     = 0.5
)

// events are what happens at moments: overloads, silence, high peaks.
type events struct {
	clipped, flat, over  [dsp.MaxChannels]event
	broke, dips, cracked [dsp.MaxChannels]event
	straight             [dsp.MaxChannels]float64 // last time that the tops were not bent over,
	bent                 [dsp.MaxChannels]float64 // and that they had been for long enough
	input, output        window                   // highest peaks
	alive                float64                  // any signal at last
	deafUntil            float64                  // the output's bars still fall from before a change of gain
}

// event is a count, how far it rose, and when it last did.
type event struct {
	count, rose int64
	last        float64
}

func (e *event) push(count int64, now float64) {
	if count > e.count {
		e.rose, e.last = e.rose+count-e.count, now
	}
	e.count = count
}

func (e *events) begin(r *dsp.Reading, now float64) {
	*e = events{alive: now, input: newWindow(), output: newWindow(), deafUntil: math.Inf(-1)}
	never := func(count int64) event { return event{count: count, last: math.Inf(-1)} }
	for c := range dsp.MaxChannels {
		in, h := &r.Input[c], &r.Heard.Channels[c]
		e.clipped[c], e.flat[c], e.over[c] = never(in.ClippedRuns), never(in.FlatTops), never(0)
		e.straight[c], e.bent[c] = now, math.Inf(-1)
		e.broke[c], e.dips[c], e.cracked[c] = never(h.Breaks), never(h.Dips), never(h.Cracks)
	}
	for c := range r.Fed {
		e.over[c].count = r.Camera[c].Overs
	}
}

// change takes up a change of gain: what was behind the chain is past; after a
// cut the bars need a while to fall to it.
func (e *events) change(now, byDB float64) {
	e.output = newWindow()
	for c := range e.over {
		e.over[c].last = math.Inf(-1)
	}
	e.deafUntil = now + barSeconds - min(0, byDB)/barDBPerSecond
}

func (e *events) take(r *dsp.Reading, s *Situation, now float64) {
	for c := range r.Channels {
		in := &r.Input[c]
		e.input.push(in.TruePeakDBTP, now)
		e.clipped[c].push(in.ClippedRuns, now)
		e.flat[c].push(in.FlatTops, now)
		if !in.SoftTops {
			e.straight[c] = now
		} else if now-e.straight[c] >= bentSeconds {
			e.bent[c] = now
		}
		e.takeBreaks(c, &r.Heard.Channels[c], now)
		if now >= e.deafUntil {
			e.output.push(r.Output[c].TruePeakDBTP, now)
		}
		if in.RMSDBFS >= verdict.SilentDBFS {
			e.alive = now
		}
	}
	for c := range r.Fed {
		over := &e.over[c]
		if now >= e.deafUntil {
			over.push(r.Camera[c].Overs, now)
		}
		over.count = r.Camera[c].Overs
	}
}

// takeBreaks counts the breaks of a channel; while it is overloaded only those
// that an overload does not make.
func (e *events) takeBreaks(c int, h *hearing.Channel, now float64) {
	e.broke[c].push(h.Breaks, now)
	if e.overloads(c, now, longSeconds) || now > e.straight[c] || e.bends(c, now) {
		e.dips[c].count, e.cracked[c].count = h.Dips, h.Cracks
		return
	}
	e.dips[c].push(h.Dips, now)
	e.cracked[c].push(h.Cracks, now)
}

// overloads tells whether an input channel was in the last seconds.
func (e *events) overloads(c int, now, seconds float64) bool {
	return now-e.clipped[c].last < seconds || now-e.flat[c].last < seconds
}

// bends tells whether an input channel was softly in the last seconds.
func (e *events) bends(c int, now float64) bool { return now-e.bent[c] < longSeconds }

// judge finds overloads and breaks of the last seconds, and silence.
func (e *events) judge(r *dsp.Reading, now float64) (found []verdict.Finding) {
	if now-e.alive >= deadSeconds {
		return []verdict.Finding{verdict.NothingComesIn()}
	}
	in := verdict.Signal{Channels: r.Channels}
	if w, is := in.Which(func(c int) bool { return now-e.clipped[c].last < eventSeconds }); is {
		found = append(found, verdict.Clipped(both(w, r.Channels), e.sum(e.clipped[:r.Channels])))
	} else if w, is := in.Which(func(c int) bool { return now-e.flat[c].last < eventSeconds }); is {
		found = append(found, verdict.FlatTops(both(w, r.Channels), e.sum(e.flat[:r.Channels])))
	} else if w, is := in.Which(func(c int) bool { return e.bends(c, now) }); is {
		found = append(found, verdict.BentOver(both(w, r.Channels)))
	}
	if w, is := in.Which(func(c int) bool { return e.breaksOff(c, now) }); is {
		breaks, cracks := int64(0), int64(0)
		for c := range r.Channels { // of several channels at once they are one
			breaks, cracks = max(breaks, e.broke[c].rose+e.dips[c].rose), max(cracks, e.cracked[c].rose)
		}
		found = append(found, verdict.Broken(both(w, r.Channels), breaks, cracks))
	}
	return found
}

// breaksOff tells whether the sound of a channel did in the last seconds.
func (e *events) breaksOff(c int, now float64) bool {
	return now-max(e.broke[c].last, e.dips[c].last, e.cracked[c].last) < longSeconds
}

// clipping tells whether the input was overloaded in the last seconds.
func (e *events) clipping(now float64) bool { return lately(e.clipped[:], now, eventSeconds) }

// both names no channel where it is all of them.
func both(w verdict.Where, channels int) verdict.Where {
	if len(w.Channels) == channels {
		return verdict.Where{}
	}
	return w
}

func (e *events) sum(of []event) (n int64) {
	for _, c := range of {
		n += c.count
	}
	return max(1, n)
}

// overloaded tells whether the camera was overloaded in the last seconds.
func (e *events) overloaded(now float64) bool { return lately(e.over[:], now, longSeconds) }

// lately tells whether something happened in the last seconds.
func lately(to []event, now, seconds float64) bool {
	return slices.ContainsFunc(to, func(e event) bool { return now-e.last < seconds })
}

// A window covers slots of a second.
const longSeconds = 20

// window is the highest level of the last 20 seconds.
type window struct {
	highest [longSeconds]float64
	slot    int // newest, counted from the start
}

func newWindow() (w window) {
	for i := range w.highest {
		w.highest[i] = math.Inf(-1)
	}
	return w
}

func (w *window) push(level, now float64) {
	slot := int(now)
	for range min(longSeconds, slot-w.slot) {
		w.slot++
		w.highest[w.slot%longSeconds] = math.Inf(-1)
	}
	w.slot = max(w.slot, slot)
	w.highest[slot%longSeconds] = max(w.highest[slot%longSeconds], level)
}

func (w *window) max() float64 {
	highest := math.Inf(-1)
	for _, v := range w.highest {
		highest = max(highest, v)
	}
	return highest
}
