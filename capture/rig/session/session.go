package session

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture"
	"rollready/capture/rescue"
	"rollready/dsp"
	"rollready/dsp/phrase"
	"rollready/dsp/strips"
)

// Opener opens a source; the session starts and closes it. After a device
// was lost the session calls it again and again until it succeeds: it must
// then give that very device or an error. Called on any goroutine, never twice
// at once.
type Opener func() (capture.Source, error)

// Options is what a session starts with.
type Options struct {
	Open     Opener
	Fallback Opener // the demo scene, for when Open fails; nil: then Open's error is the session's
	Exact    bool   // but not for an input that lacks the channels picked
	Expect   string // name of the input as last used, "" if none: another one is pointed out
	Pick     capture.Pick
	Strips   strips.Settings
	View     dsp.View
	Go       func(f func()) // starts goroutines, as rescue.Rescue does; nil: go
}

// Session runs until Close. All methods may be called from any goroutine and
// none waits for a device, except Switch.
type Session struct {
	audio   audio
	reading atomic.Pointer[dsp.Reading]
	status  atomic.Pointer[Status]
	pace    atomic.Int64  // looks a second
	news    chan struct{} // gets a word when both are new

	commands chan func() // run by the loop
	opened   chan opening
	quit     chan struct{}
	ended    chan struct{} // the loop has ended
	closing  sync.Once

	// Below: the loop's own.
	options  Options
	tick     *time.Ticker
	feed     *feed
	wiring   *wiring
	meter    *dsp.Meter
	metering capture.Format // what the meter was made for
	memory   *phrase.Memory
	in, out  []float32 // one bite on its way to the meter
	fed      []float32 // the same of the camera feed
	zeros    int64     // frames of nothing but zeros, up to now
	watch    watch
	notice   string
	before   string // name of the input before, where another one came by itself
	over     bool   // a file has been played to its end
}

// Open opens the input, or the fallback, and begins to meter.
func Open(o Options) (*Session, error) {
	o.Go = rescue.OrGo(o.Go)
	s := &Session{options: o, commands: make(chan func()), opened: make(chan opening), news: make(chan struct{}, 1),
		quit: make(chan struct{}), ended: make(chan struct{})}
	s.pace.Store(usualPace)
	s.tick = time.NewTicker(time.Second / usualPace)
	s.setTaps(nil)
	s.audio.ears.Set(o.Strips)
	first := s.start(o.Open, o.Pick, o.Strips)
	if first.err != nil && o.Fallback != nil && !(o.Exact && errors.Is(first.err, capture.ErrChannel)) {
		s.notice = "No usable input. "
		if !errors.Is(first.err, capture.ErrNoInput) {
			s.notice = fmt.Sprintf("No usable input: %v. ", first.err)
		}
		s.notice += "This is the demo scene until there is one."
		first = s.start(o.Fallback, capture.Auto, o.Strips)
		s.watch.fallen = true
	}
	if first.err != nil {
		return nil, first.err
	}
	s.adopt(first.feed)
	s.publish(time.Now())
	s.Go(s.loop)
	return s, nil
}

// Go starts a goroutine the way the session starts its own: for what works on
// the session.
func (s *Session) Go(f func()) { s.options.Go(f) } // which never changes

// usualPace is how often a second the session looks while no face says more.
const usualPace = 60

// Follow lets the session look so many times a second, which one face may say,
// and gives the channel that gets a word each time: nobody then needs a clock
// of his own to see what is new.
func (s *Session) Follow(perSecond int) <-chan struct{} {
	if pace := int64(perSecond); s.pace.Swap(pace) != pace {
		s.ask(func() { s.tick.Reset(time.Second / time.Duration(pace)) })
	}
	return s.news
}

// Reading gives the newest levels, no older than one look while frames come.
func (s *Session) Reading() dsp.Reading { return *s.reading.Load() }

// Status gives the newest state.
func (s *Session) Status() Status { return *s.status.Load() }

// SetStrips changes the settings of the strips; they must pass Check.
func (s *Session) SetStrips(set strips.Settings) {
	s.ask(func() {
		s.options.Strips = set
		s.audio.ears.Set(set)
		s.wiring.bank.Set(set)
		s.compare()
	})
}

// Ears is where the strips are heard in the headphones.
func (s *Session) Ears() *strips.Ears { return &s.audio.ears }

// SetView changes how the meters are read.
func (s *Session) SetView(v dsp.View) {
	s.ask(func() {
		s.options.View = v
		s.meter.SetView(v)
	})
}

// ResetHolds forgets holds, maxima, counts and the integrated loudness.
func (s *Session) ResetHolds() { s.ask(func() { s.meter.ResetHolds() }) }

// SetPick takes other channels of the present source. On error nothing changes.
func (s *Session) SetPick(p capture.Pick) (err error) {
	s.ask(func() {
		var w *wiring
		if w, err = newWiring(s.feed.source.Format(), p, s.options.Strips); err == nil {
			s.options.Pick = p
			s.feed.wiring.Store(w)
			s.useWiring(w)
		}
	})
	return err
}

// Switch goes over to another input, which is also the one looked for from
// now on. The present one runs until the new one has started and stays on
// error. It waits for the new device, a few seconds at most.
func (s *Session) Switch(open Opener, p capture.Pick) error {
	var set strips.Settings
	s.ask(func() { set = s.options.Strips })
	next := s.start(open, p, set)
	if next.err != nil {
		return next.err
	}
	taken := s.ask(func() {
		s.options.Open, s.options.Pick, s.options.Expect = open, p, ""
		s.notice, s.before, s.over = "", "", false
		s.audio.fault.Forget()
		s.watch = watch{turn: s.watch.turn + 1}
		s.replace(next.feed)
	})
	if !taken {
		next.feed.source.Close()
		return errClosed
	}
	return nil
}

// Close ends the session within about a second.
func (s *Session) Close() {
	s.closing.Do(func() {
		close(s.quit)
		<-s.ended
		s.feed.source.Close()
	})
}

// ask runs do on the loop's goroutine and waits for it; false once closed.
func (s *Session) ask(do func()) bool {
	done := make(chan struct{})
	select {
	case s.commands <- func() { do(); close(done) }:
		<-done
		return true
	case <-s.ended:
		return false
	}
}

func (s *Session) loop() {
	defer close(s.ended)
	defer s.tick.Stop()
	for {
		select {
		case <-s.quit:
			return
		case do := <-s.commands:
			do()
		case next := <-s.opened:
			s.takeUp(next)
		case <-s.tick.C:
			now := time.Now()
			done := s.catchUp(now.Add(analyseFor))
			s.lookAfter(now, done)
			s.publish(now)
			select {
			case s.news <- struct{}{}:
			default:
			}
		}
	}
}
