package session

import (
	"errors"
	"fmt"
	"time"

	"rollready/capture"
	"rollready/capture/pulse"
	"rollready/dsp/strips"
)

// The watchdog's times. A lost input must show within a second and be taken
// up again within two seconds of its return.
const (
	firstGrace = 3 * time.Second         // until the first frames ever: servers may start seconds deep
	againGrace = 1500 * time.Millisecond // until the first frames of a lost input found again
	lookEvery  = 250 * time.Millisecond  // for a lost input
	findEvery  = 2 * time.Second         // for an input better than the demo scene

	toldAfter = pulse.LostAfter + 50*time.Millisecond // a take has heard of the loss by itself
)

var errClosed = errors.New("the session is closed")

// watch is the watchdog's memory.
type watch struct {
	came    pulse.Pulse // frames of the feed
	gone    gone
	lost    bool
	lostAt  time.Time // when the last frames came
	returns int
	fallen  bool // the demo scene stands in for an input
	opening bool // an attempt is under way
	nextTry time.Time
	turn    int // counts the user's own switches: an attempt from before one is stale
}

// opening is the result of an attempt to open and start a source.
type opening struct {
	feed *feed
	err  error
	turn int
}

// start opens and starts a source. It may take seconds: not for the loop.
func (s *Session) start(open Opener, p capture.Pick, set strips.Settings) opening {
	src, err := open()
	if err != nil {
		return opening{err: err}
	}
	w, err := newWiring(src.Format(), p, set)
	if err != nil {
		src.Close()
		return opening{err: fmt.Errorf("input %q: %w", src.Name(), err)}
	}
	f := &feed{audio: &s.audio, source: src}
	f.wiring.Store(w)
	if err := src.Start(f.deliver); err != nil {
		src.Close()
		return opening{err: err}
	}
	return opening{feed: f}
}

// adopt makes a started feed the one that is metered and tapped.
func (s *Session) adopt(f *feed) {
	w := f.wiring.Load()
	w.bank.Set(s.options.Strips) // it may have changed while the source opened
	if s.feed != nil {
		s.watch.gone.frames += s.feed.frames.Load() - s.watch.came.Count()
	}
	s.feed = f
	s.useWiring(w)
	f.wait(len(*s.audio.taps.Load()) == 0)
	now := time.Now()
	s.watch.came.Begin(now)
	if !s.watch.lost || s.watch.gone.rateHz != w.format.RateHz {
		s.watch.gone.begin(now, w.format.RateHz)
	}
	s.audio.current.Store(f)
	for _, t := range *s.audio.taps.Load() {
		t.gaps.Add(1)
	}
	s.notePossibleReplacement(f.source)
}

// replace adopts f in place of a feed that still runs.
func (s *Session) replace(f *feed) {
	old := s.feed
	s.adopt(f)
	s.abandon(old)
}

// notePossibleReplacement points out that another microphone is heard than
// the one the user knows.
func (s *Session) notePossibleReplacement(src capture.Source) {
	if src.Kind() != capture.Device {
		return
	}
	if was := s.options.Expect; was != "" && was != src.Name() {
		s.before = was
		s.notice = fmt.Sprintf("The input is now %q, before it was %q: is this the microphone you mean?", src.Name(), was)
	}
	s.options.Expect = src.Name()
}

// lookAfter is the watchdog, run with every tick; metered tells whether no
// frames are waiting.
func (s *Session) lookAfter(now time.Time, metered bool) {
	w := &s.watch
	before := w.came.Count()
	if w.came.Look(now, s.feed.frames.Load()) {
		s.noteReturn(now)
	}
	w.gone.frames += w.came.Count() - before
	if metered && s.feed.source.Kind() == capture.Device {
		s.audio.dropouts.Add(w.gone.look(now))
	}
	switch {
	case s.feed.source.Kind() != capture.Device:
		s.noteEnd(metered)
	case s.audio.current.Load() == s.feed && s.silentTooLong(now):
		s.giveUp()
	}
	if (s.audio.current.Load() == nil || w.fallen) && !w.opening && now.After(w.nextTry) {
		s.tryAgain(now)
	}
}

// noteReturn ends a loss. What a take has as silence is told there; what was away
// for less is missing.
func (s *Session) noteReturn(now time.Time) {
	if s.watch.lost && s.audio.current.Load() == s.feed {
		s.watch.lost = false
		s.watch.returns++
		if now.Sub(s.watch.lostAt) > toldAfter {
			s.watch.gone.begin(now, s.metering.RateHz)
		}
	}
}

// noteEnd says that a file is over once its last frames are metered.
func (s *Session) noteEnd(metered bool) {
	if s.ranOut() && metered && s.wiring.feed.Len() == 0 {
		s.over = true
		if src, can := s.feed.source.(interface{ Err() error }); can && src.Err() != nil {
			s.notice = fmt.Sprintf("%s ended early: %v", s.feed.source.Name(), src.Err())
		}
	}
}

func (s *Session) silentTooLong(now time.Time) bool {
	limit := pulse.LostAfter
	switch {
	case s.watch.came.Count() == 0 && s.watch.lost:
		limit = againGrace
	case s.watch.came.Count() == 0:
		limit = firstGrace
	}
	return s.ranOut() || s.watch.came.Still(now) > limit
}

func (s *Session) ranOut() bool {
	select {
	case <-s.feed.source.Done():
		return true
	default:
		return false
	}
}

// giveUp abandons a device that fell silent; closing it may hang.
func (s *Session) giveUp() {
	s.audio.current.Store(nil)
	if !s.watch.lost {
		s.watch.lost, s.watch.lostAt = true, s.watch.came.Moved()
	}
	s.abandon(s.feed)
}

// abandon closes a feed's source without waiting: it may hang.
func (s *Session) abandon(f *feed) { s.Go(func() { f.source.Close() }) }

// tryAgain looks for the input away from the loop.
func (s *Session) tryAgain(now time.Time) {
	every := lookEvery
	if s.watch.fallen {
		every = findEvery
	}
	s.watch.opening, s.watch.nextTry = true, now.Add(every)
	o, turn := s.options, s.watch.turn
	s.Go(func() {
		next := s.start(o.Open, o.Pick, o.Strips)
		next.turn = turn
		select {
		case s.opened <- next:
		case <-s.ended:
			next.close()
		}
	})
}

func (o opening) close() {
	if o.feed != nil {
		o.feed.source.Close()
	}
}

// takeUp ends an attempt: the source found is used unless the user has
// switched to another one meanwhile.
func (s *Session) takeUp(next opening) {
	if next.turn != s.watch.turn {
		s.Go(next.close)
		return
	}
	s.watch.opening = false
	switch {
	case next.err != nil:
	case s.watch.fallen:
		s.watch.fallen = false
		s.notice = fmt.Sprintf("Found the input %q: the demo scene is over.", next.feed.source.Name())
		s.replace(next.feed)
	default:
		s.adopt(next.feed)
	}
}
