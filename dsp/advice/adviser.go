package advice

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/verdict"
)

// Times of the judgement in seconds.
const (
	listenSeconds = 3.0  // of sound before anything but overload is said
	overSeconds   = 5.0  // overload is spoken of so long after it happened
	fadeSeconds   = 8.0  // the same words with a milder figure must hold so long
	settleSeconds = 1.0  // new advice must hold so long, unless it is to stop
	deadSeconds   = 3.0  // without any signal before that is said
	quietSeconds  = 30.0 // "safe to roll" outlives so much quiet: people stop talking before they roll
)

// The fall of the bars that readings carry, and the most a reading is late.
const (
	barDBPerSecond = 20 / 1.7
	barSeconds     = 0.5
)

// newFigureDB is how far a figure must move before it is said anew.
const newFigureDB = 3

// Adviser makes the advice of a stream of readings. It keeps time by their
// frames. One goroutine uses it.
type Adviser struct {
	said      Advice
	next      Advice // waits to be said
	nextSince float64
	input     [dsp.MaxChannels]window
	output    window
	counts    [dsp.MaxChannels]counts
	settings  chain.Settings
	scale     camera.Scale
	untried   bool    // nobody has spoken since these changed
	now       float64 // seconds, as the times below
	started   float64 // of listening
	alive     float64 // any signal at last
	heard     float64 // sound at last
	deafUntil float64 // the output's bars still fall from before a change of gain
	frames    int64
	channels  int // 0: no reading yet
}

// counts are the overloads of one input channel.
type counts struct{ clipped, flat event }

// New makes an adviser that has heard nothing.
func New() *Adviser {
	a := &Adviser{}
	a.Reset()
	return a
}

// Reset forgets everything heard, as after a change of input.
func (a *Adviser) Reset() {
	*a = Adviser{said: say(Listening, all, 0), heard: math.Inf(-1)}
	for c := range a.input {
		a.input[c].clear()
		a.counts[c] = counts{clipped: event{last: math.Inf(-1)}, flat: event{last: math.Inf(-1)}}
	}
	a.output.clear()
}

// Advise takes the newest reading, the chain's settings and the camera's scale,
// and gives what to say now. Readings should come a few times a second; the
// same reading twice changes nothing.
func (a *Adviser) Advise(r dsp.Reading, s chain.Settings, scale camera.Scale) Advice {
	if r.RateHz <= 0 || r.Frames == a.frames && a.channels > 0 {
		return a.said
	}
	if r.Frames < a.frames {
		a.Reset()
	}
	a.change(s, scale)
	a.take(r)
	a.settle(judge(a.facts()))
	return a.said
}

// change takes up new settings. The peaks heard move with the gain, so that the
// advice answers at once; after a cut the bars need a while to fall to it.
func (a *Adviser) change(s chain.Settings, scale camera.Scale) {
	if a.channels == 0 {
		a.settings, a.scale = s, scale
	}
	if s == a.settings && scale == a.scale {
		return
	}
	by := s.GainDB - a.settings.GainDB
	a.output.shift(by)
	if by < 0 {
		a.deafUntil = max(a.now+barSeconds, a.deafUntil) - by/barDBPerSecond
	}
	a.settings, a.scale, a.untried = s, scale, true
}

// take adds a reading to the last seconds.
func (a *Adviser) take(r dsp.Reading) {
	a.now, a.frames = float64(r.Frames)/float64(r.RateHz), r.Frames
	if a.channels == 0 {
		a.started, a.alive = a.now, a.now
	}
	a.channels = r.Channels
	for c := range r.Channels {
		in := r.Input[c]
		a.input[c].push(in.TruePeakDBTP, a.now)
		a.counts[c].clipped.push(in.ClippedRuns, a.now)
		a.counts[c].flat.push(in.FlatTops, a.now)
		if a.now >= a.deafUntil {
			a.output.push(r.Output[c].TruePeakDBTP, a.now)
		}
		if in.RMSDBFS >= verdict.SilentDBFS {
			a.alive = a.now
		}
		if in.TruePeakDBTP >= littleDBTP {
			a.heard, a.untried = a.now, false
		}
	}
}

func (a *Adviser) facts() facts {
	f := facts{now: a.said.Code, silent: a.now-a.alive >= deadSeconds, listened: a.now-a.started >= listenSeconds,
		inputDBTP: math.Inf(-1), outputDBTP: a.output.max(), gainDB: a.settings.GainDB, scale: a.scale}
	for c := range a.channels {
		f.inputDBTP = max(f.inputDBTP, a.input[c].max())
	}
	hot := hotDBTP - f.stays(InputHot)
	f.clipped = a.which(func(c int) bool { return a.now-a.counts[c].clipped.last < overSeconds })
	f.flat = a.which(func(c int) bool { return a.now-a.counts[c].flat.last < overSeconds })
	f.hot = a.which(func(c int) bool { return a.input[c].max() >= hot })
	return f
}

// which gives the channel for which is holds; where there is no other, or it
// holds for more than one, all.
func (a *Adviser) which(is func(channel int) bool) int {
	found := none
	for c := range a.channels {
		if !is(c) {
			continue
		}
		if found != none || a.channels == 1 {
			return all
		}
		found = c
	}
	return found
}

// settle lets new advice through once it has held, at once if it is to stop.
func (a *Adviser) settle(next Advice) {
	if next.Code == VeryLittle && a.said.Severity == Good && !a.untried && a.now-a.heard < quietSeconds {
		next = a.said
	}
	if same(next, a.said) {
		a.next = a.said
		return
	}
	if !same(next, a.next) {
		a.next, a.nextSince = next, a.now
	}
	if a.now-a.nextSince >= patience(a.said, next) {
		a.said = next
	}
}

// patience is how long the next advice must hold. A louder voice counts soon;
// that a loud moment is forgotten counts late.
func patience(said, next Advice) float64 {
	urgent := next.Severity == Stop && said.Severity != Stop
	quieter := next.ByDB < said.ByDB
	switch next.Code {
	case RaisePreamp, RaiseGain, CameraInputLow:
		quieter = next.ByDB > said.ByDB
	}
	switch {
	case next.Code == said.Code && !urgent && (quieter || next.Severity != said.Severity):
		return fadeSeconds
	case urgent:
		return 0
	}
	return settleSeconds
}

// same tells whether two pieces of advice say the same but for small figures.
func same(a, b Advice) bool {
	return a.Code == b.Code && a.Severity == b.Severity && a.Channel == b.Channel && abs(a.ByDB-b.ByDB) < newFigureDB
}

func abs(n int) int { return max(n, -n) }
