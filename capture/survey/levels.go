package survey

import (
	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/heard"
	"rollready/dsp/hops"
	"rollready/dsp/level"
	"rollready/dsp/verdict"
)

// tenths are hops of a tenth of a second: how often lines and events are looked at.
func tenths(rateHz, channels int) hops.Hops {
	const perSecond = 10
	return hops.Hops{Channels: channels, Frames: max(1, rateHz/level.HopsPerSecond) * level.HopsPerSecond / perSecond}
}

// maxEvents is how many places of a kind are kept; the counts go on.
const maxEvents = 500

// levels measures sample peak, rms, clipping, flat tops and holes, and marks
// where they are.
type levels struct {
	hops.Hops
	*heard.Input
	peaks  line
	step   float64 // seconds per hop
	hops   int64
	counts []counter
	found  *facts
}

// counter follows one count, to tell where it grew.
type counter struct {
	code    verdict.Code
	channel int
	read    func() int64
	seen    int64
	events  []Event
}

func newLevels(rateHz, channels int, found *facts) *levels {
	l := &levels{Hops: tenths(rateHz, channels), Input: heard.NewInput(rateHz, channels), peaks: newLine(), found: found}
	l.step = float64(l.Hops.Frames) / float64(rateHz)
	l.counts = []counter{{code: verdict.Dropouts, read: l.broken}}
	for c := range channels {
		l.counts = append(l.counts,
			counter{code: verdict.InputClipped, channel: c + 1, read: func() int64 { return l.Level.ClippedRuns(c) }},
			counter{code: verdict.FlatTopped, channel: c + 1, read: func() int64 { return l.Level.FlatTops(c) }})
	}
	return l
}

func (l *levels) process(block []float32) {
	l.Cut(block, l.Input.Process, l.hop)
}

// broken counts every kind of break.
func (l *levels) broken() int64 {
	breaks, cracks := l.Broken()
	return breaks + cracks
}

func (l *levels) hop() {
	peak := 0.0
	for c := range l.Hops.Channels {
		peak = max(peak, l.Level.TakeMax(c))
	}
	l.peaks.push(db.FromAmplitude(peak))
	for i := range l.counts {
		l.counts[i].look(float64(l.hops) * l.step)
	}
	l.hops++
}

// look marks the time if the count has grown.
func (c *counter) look(seconds float64) {
	now := c.read()
	if now > c.seen && len(c.events) < maxEvents {
		c.events = append(c.events, Event{seconds, c.code, c.channel})
	}
	c.seen = now
}

func (l *levels) finish(r *Result) {
	if l.Begun() {
		l.hop() // what came after the last whole hop
	}
	for c := range l.Hops.Channels {
		r.SamplePeakDBFS = append(r.SamplePeakDBFS, figure.Figure(l.Level.MaxDBFS(c)))
		r.RMSDBFS = append(r.RMSDBFS, figure.Figure(l.Level.MeanRMSDBFS(c)))
		r.DCOffset = append(r.DCOffset, figure.Figure(l.Level.DCOffset(c)))
		r.ClippedRuns = append(r.ClippedRuns, l.Level.ClippedRuns(c))
		r.FlatTops = append(r.FlatTops, l.Level.FlatTops(c))
	}
	for _, c := range l.counts {
		if c.read() > 0 { // holes may turn out to be none
			r.Events = append(r.Events, c.events...)
		}
	}
	r.Dropouts = l.broken()
	l.found.input = l.Input
	r.Trace.StepSeconds = l.step * float64(l.peaks.each)
	r.Trace.PeakDBFS = l.peaks.points
}
