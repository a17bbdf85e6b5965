package live

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/verdict"
)

// The fall of the bars that readings carry, and the most a reading is late.
const (
	barDBPerSecond = 20 / 1.7
	barSeconds     = 0.5
)

// events are what happens at moments: overloads, silence, high peaks.
type events struct {
	clipped, flat, over [dsp.MaxChannels]event
	input, output       window  // highest peaks
	alive               float64 // any signal at last
	deafUntil           float64 // the output's bars still fall from before a change of gain
}

// event is a count and when it last rose.
type event struct {
	count int64
	last  float64
}

func (e *event) push(count int64, now float64) {
	if count > e.count {
		e.last = now
	}
	e.count = count
}

func (e *events) begin(r *dsp.Reading, now float64) {
	*e = events{alive: now, input: newWindow(), output: newWindow(), deafUntil: math.Inf(-1)}
	for c := range e.clipped {
		e.clipped[c].last, e.flat[c].last, e.over[c].last = math.Inf(-1), math.Inf(-1), math.Inf(-1)
	}
	for c := range r.Channels {
		e.clipped[c].count, e.flat[c].count = r.Input[c].ClippedRuns, r.Input[c].FlatTops
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
		in, over := r.Input[c], &e.over[c]
		e.input.push(in.TruePeakDBTP, now)
		e.clipped[c].push(in.ClippedRuns, now)
		e.flat[c].push(in.FlatTops, now)
		if now >= e.deafUntil {
			e.output.push(r.Output[c].TruePeakDBTP, now)
			over.push(r.Camera[c].Overs, now)
		}
		over.count = r.Camera[c].Overs
		if in.RMSDBFS >= verdict.SilentDBFS {
			e.alive = now
		}
	}
}

// judge finds overloads of the last seconds, and silence.
func (e *events) judge(r *dsp.Reading, now float64) (found []verdict.Finding) {
	if now-e.alive >= deadSeconds {
		return []verdict.Finding{verdict.NothingComesIn()}
	}
	in := verdict.Signal{Channels: r.Channels}
	if w, is := in.Which(func(c int) bool { return now-e.clipped[c].last < eventSeconds }); is {
		found = append(found, verdict.Clipped(both(w, r.Channels), e.sum(e.clipped[:r.Channels])))
	} else if w, is := in.Which(func(c int) bool { return now-e.flat[c].last < eventSeconds }); is {
		found = append(found, verdict.FlatTops(both(w, r.Channels), e.sum(e.flat[:r.Channels])))
	}
	return found
}

// clipping tells whether the input was overloaded in the last seconds.
func (e *events) clipping(now float64) bool {
	return now-e.clipped[0].last < eventSeconds || now-e.clipped[1].last < eventSeconds
}

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
func (e *events) overloaded(now float64) bool {
	return now-e.over[0].last < longSeconds || now-e.over[1].last < longSeconds
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
