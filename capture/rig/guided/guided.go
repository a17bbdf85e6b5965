// Package guided runs a guided pre-roll check on the input frames of a
// session, while the session goes on metering.
package guided

import (
	"slices"
	"sync/atomic"
	"time"

	"rollready/capture/rig/session"
	"rollready/dsp/preroll"
)

// Note says why a check had to begin anew or can't go on, other than what was
// heard.
type Note string

// The notes.
const (
	NoNote  Note = ""
	Changed Note = "Another input: the check begins anew."
	Broke   Note = "The sound broke off: this step begins anew."
	Ended   Note = "The file has ended: choose an input in Setup, then check again."
	Failed  Note = "Metering has stopped: choose the input again in Setup, then check again."
)

// Progress is where a check stands.
type Progress struct {
	preroll.Progress
	Note Note
}

// Step and Setup are those of the guide.
type (
	Step  = preroll.Step
	Setup = preroll.Setup
)

// Outcome is the end of a check.
type Outcome struct {
	preroll.Result
	Quiet []preroll.QuietBands // room tone at the input, by channel, last the mean of all
}

const (
	ringSeconds = 4
	pollEvery   = 20 * time.Millisecond
)

// Check is a guided check. Every method may be called from any goroutine.
type Check struct {
	session  *session.Session
	who      []int // channels whose people speak in turn; nil: one voice in all
	progress atomic.Pointer[Progress]
	asked    chan func()
	quit     chan struct{}
	ended    chan struct{}

	// Below: the loop's own.
	guide  *preroll.Guide
	tap    *session.Tap
	source string
	gaps   int64
	losses int64 // in the steps that count
	block  []float32
	note   Note
}

// Begin starts a check on a session, in which the people of the channels given,
// from 0, speak in turn. It returns at once. End it.
func Begin(s *session.Session, who ...int) *Check {
	c := &Check{session: s, who: who, asked: make(chan func()), quit: make(chan struct{}), ended: make(chan struct{})}
	c.progress.Store(&Progress{Progress: preroll.Progress{Left: preroll.QuietSeconds}})
	s.Go(c.loop)
	return c
}

// Progress tells where the check stands. It never waits.
func (c *Check) Progress() Progress { return *c.progress.Load() }

// Repeat begins a step anew; everything after it is forgotten. It waits some
// milliseconds at most, unless Result is at work.
func (c *Check) Repeat(step Step) {
	c.ask(func() {
		c.renew()
		c.losses, c.note = 0, NoNote
		c.guide.Repeat(step)
	})
}

// Result judges what was heard against a setup. It takes some tenths of a
// second, may be called again with another setup, and fails with
// preroll.ErrShort before the check is done.
func (c *Check) Result(setup Setup) (o Outcome, err error) {
	err = preroll.ErrShort
	c.ask(func() {
		setup.Dropouts = c.losses
		if o.Result, err = c.guide.Result(setup); err == nil {
			o.Quiet = c.guide.QuietBands()
		}
	})
	return o, err
}

// End lets go of the session. To be called once.
func (c *Check) End() { close(c.quit) }

// ask runs do on the loop and waits for it.
func (c *Check) ask(do func()) {
	done := make(chan struct{})
	select {
	case c.asked <- func() { do(); close(done) }:
		<-done
	case <-c.ended:
	}
}

func (c *Check) loop() {
	defer close(c.ended)
	c.listen()
	defer func() { c.session.RemoveTap(c.tap) }()
	tick := time.NewTicker(pollEvery)
	defer tick.Stop()
	for {
		select {
		case <-c.quit:
			return
		case do := <-c.asked:
			do()
		case <-tick.C:
			c.step()
		}
		c.progress.Store(&Progress{c.guide.Progress(), c.note})
	}
}

// listen takes frames from now on, and begins with the quiet.
func (c *Check) listen() {
	c.tap = c.session.AddTap(session.InputFrames, ringSeconds)
	f := c.tap.Format()
	if f.Channels == 0 { // a closed session gives no format
		f.RateHz, f.Channels = 48000, 1
	}
	c.source, c.gaps, c.losses = c.session.Status().Called(), 0, 0
	c.guide = preroll.NewGuide(f.RateHz, f.Channels, slices.DeleteFunc(slices.Clone(c.who), func(channel int) bool { return channel >= f.Channels })...)
	c.block = make([]float32, f.RateHz/10*f.Channels)
}

// renew throws away frames from before now, which nobody was to speak into.
func (c *Check) renew() {
	c.session.RemoveTap(c.tap)
	format := c.tap.Format()
	tap := c.session.AddTap(session.InputFrames, ringSeconds)
	if tap.Format() != format {
		c.session.RemoveTap(tap)
		c.listen()
		return
	}
	c.tap, c.gaps = tap, 0
}

// step feeds the guide what has come.
func (c *Check) step() {
	if c.guide.Progress().Step == preroll.Done || c.tap.Input == nil {
		return
	}
	status := c.session.Status()
	switch {
	case c.tap.Cut() || status.Called() != c.source:
		c.session.RemoveTap(c.tap)
		c.listen()
		c.note = Changed
		return
	case status.Fault != "":
		c.note = Failed
		return
	case status.Ended:
		c.note = Ended
	}
	before := c.guide.Progress().Step
	channels := c.tap.Format().Channels
	for n := c.tap.Input.Read(c.block); n > 0; n = c.tap.Input.Read(c.block) {
		c.guide.Process(c.block[:n*channels])
	}
	c.losses = min(1, c.tap.Input.Dropped()) // one hole, however long
	c.mind(before)
}

// mind begins a step anew in which the sound broke off, and forgets a note
// once the next step is reached.
func (c *Check) mind(before preroll.Step) {
	now := c.guide.Progress().Step
	if gaps := c.tap.Gaps(); gaps != c.gaps {
		c.gaps = gaps
		if now != preroll.Done {
			c.guide.Repeat(now)
			c.note = Broke
		}
	}
	if now != before {
		c.note = NoNote
	}
}
