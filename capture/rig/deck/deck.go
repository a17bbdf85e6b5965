// Package deck keeps a recorder fit for a running session: it makes another
// where the input's format or the settings change, tells it what it can't
// know by itself, and looks after the folder of the takes.
package deck

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture"
	"rollready/capture/power"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/capture/wavfile"
	"rollready/dsp/camera"
	"rollready/dsp/strips"
	"rollready/presets"
	"rollready/presets/whole"
)

// Session is the running session as the deck needs it.
type Session interface {
	Format() capture.Format
	Status() session.Status
	SetSink(session.Sink, capture.Format)
	Go(f func())
}

const (
	lookEvery    = 250 * time.Millisecond // at the session
	batteryEvery = 10 * time.Second
)

var errClosed = errors.New("the recorder is closed")

// Deck records the takes of a session. Status, Here, Mark, Note, Slate and
// SetCamera never wait; the rest may wait for the disk. Any goroutine but the
// audio thread may call them.
type Deck struct {
	session  Session
	battery  func() power.Battery
	recorder atomic.Pointer[take.Recorder]
	scale    atomic.Pointer[camera.Scale]
	used     atomic.Pointer[take.Config] // by the recorder
	problem  atomic.Pointer[error]       // why a take could not go on
	goingOn  atomic.Bool                 // from one take to the next
	judging  atomic.Bool                 // takes that nobody judged yet

	mu       sync.Mutex // the fields below
	set      presets.Recording
	format   capture.Format     // of the recorder
	source   string             // name of the input that the pre-record holds
	who      [strips.Max]string // as the recorder names its tracks
	dropouts int64              // told to the recorder
	what     take.What          // that rolls
	closed   bool

	open  context.Context // until Close
	close context.CancelFunc
}

// Open begins to keep the pre-record; nothing is written before Roll.
func Open(s Session, set presets.Recording, scale camera.Scale, battery func() power.Battery) (*Deck, error) {
	d := &Deck{session: s, battery: battery, set: set}
	d.open, d.close = context.WithCancel(context.Background())
	d.scale.Store(&scale)
	d.dropouts = s.Status().Dropouts
	if err := d.renew(s.Format()); err != nil {
		return nil, err
	}
	s.Go(d.run)
	return d, nil
}

func (d *Deck) run() {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	var asked time.Time
	for {
		select {
		case <-d.open.Done():
			return
		case now := <-tick.C:
			if now.Sub(asked) > batteryEvery {
				asked = now
				b := d.battery()
				d.recorder.Load().Battery(b.Percent, b.State != power.Draining)
			}
			d.look()
		}
	}
}

// look keeps the recorder fit for what the session gives now.
func (d *Deck) look() {
	d.mu.Lock()
	defer d.mu.Unlock()
	s := d.session.Status()
	d.tellDropouts(s)
	if err := d.fit(s); err != nil {
		d.problem.Store(&err)
	}
}

func (d *Deck) tellDropouts(s session.Status) {
	if lost := s.Dropouts - d.dropouts; lost > 0 {
		d.recorder.Load().Dropped(lost)
	}
	d.dropouts = s.Dropouts
}

// fit makes another recorder where the present one can't take the sound that
// comes now, or keeps sound of another input. A take that rolls goes on in a
// new one if the format changed, else in the same.
func (d *Deck) fit(s session.Status) error {
	f := d.session.Format()
	rolling := d.recorder.Load().Status().Rolling
	switch {
	case d.closed || f.RateHz == 0: // the session is closed
		return nil
	case f != d.format && rolling:
		return d.goOn(f)
	case f != d.format, (s.Called() != d.source || s.Who != d.who) && !rolling:
		return d.renew(f)
	}
	return nil
}

// goOn ends a take whose input came to deliver another format and begins the
// next of the scene, for what is left of its time.
func (d *Deck) goOn(f capture.Format) error {
	d.goingOn.Store(true)
	defer d.goingOn.Store(false)
	was, errStop := d.recorder.Load().Stop()
	if err := d.renew(f); err != nil {
		return errors.Join(errStop, err)
	}
	note := fmt.Sprintf("goes on from %s: the input came to deliver %d Hz, %d channels", was.Title(), f.RateHz, f.Channels)
	w := take.What{Scene: was.Scene, RoomTone: was.RoomTone, Note: note}
	if d.what.Seconds > 0 {
		recorded := was.Duration() - time.Duration(was.LeadFrames)*time.Second/time.Duration(was.RateHz)
		if w.Seconds = d.what.Seconds - recorded.Seconds(); w.Seconds <= 0 {
			return errStop
		}
	}
	d.what = w
	_, err := d.recorder.Load().Roll(w)
	return errors.Join(errStop, err)
}

// renew puts a new recorder in place of the present one.
func (d *Deck) renew(f capture.Format) error {
	c := config(d.set)
	c.Format, c.Camera, c.Go = f, *d.scale.Load(), d.session.Go
	status := d.session.Status()
	c.Who = status.Who[:]
	r, err := take.New(c)
	if err != nil {
		return err
	}
	d.used.Store(&c)
	d.format, d.source, d.who = f, status.Called(), status.Who
	d.session.SetSink(r, f)
	if old := d.recorder.Swap(r); old != nil {
		return old.Close()
	}
	return nil
}

// config is what the settings ask of the recorder.
func config(set presets.Recording) take.Config {
	return take.Config{Dir: set.Folder(), Pattern: cmp.Or(set.Names, take.DefaultPattern), Encoding: wavfile.Named(set.Encoding),
		NoInput: set.NoInput, Safety: set.Safety, PreRoll: orNone(set.PreRecordS, time.Second),
		SilenceAfter: orNone(set.SilenceS, time.Second), DiskWarning: orNone(set.DiskMin, time.Minute)}
}

// orNone is a time for a take.Config, where 0 would be the default.
func orNone(count float64, unit time.Duration) time.Duration {
	if d := time.Duration(count * float64(unit)); d > 0 {
		return d
	}
	return -1
}

// Set changes how and where the takes are recorded from now on.
func (d *Deck) Set(set presets.Recording) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.recorder.Load().Status().Rolling {
		return take.ErrRolling
	}
	if d.closed {
		return errClosed
	}
	if err := writable(set.Folder()); err != nil {
		return err
	}
	was := d.set
	d.set = set
	if err := d.renew(d.format); err != nil {
		d.set = was
		return err
	}
	return nil
}

// writable tells early that no take could be kept in a folder.
func writable(dir string) error {
	if err := whole.Folder(dir); err != nil {
		return fmt.Errorf("folder of the takes: %w; choose another", err)
	}
	f, err := os.CreateTemp(dir, ".rollready-*")
	if err != nil {
		return fmt.Errorf("folder of the takes: %w; choose another", err)
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// Roll begins a take.
func (d *Deck) Roll(w take.What) (take.Take, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return take.Take{}, errClosed
	}
	if err := d.fit(d.session.Status()); err != nil {
		return take.Take{}, err
	}
	d.problem.Store(nil)
	d.what = w
	return d.recorder.Load().Roll(w)
}

// Stop ends the take.
func (d *Deck) Stop() (take.Take, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.tellDropouts(d.session.Status())
	return d.recorder.Load().Stop()
}

// Forget throws the pre-record away: what comes now does not join it.
func (d *Deck) Forget() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed || d.recorder.Load().Status().Rolling {
		return nil
	}
	return d.renew(d.session.Format())
}

// Close ends a rolling take and the recording. Only the first call does
// something; all of them return when it is done.
func (d *Deck) Close() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return nil
	}
	d.closed = true
	d.close()
	d.session.SetSink(nil, capture.Format{})
	return d.recorder.Load().Close()
}

// Status gives the newest state. Between a take and the one that goes on from
// it, it rolls.
func (d *Deck) Status() take.Status {
	going, r := d.goingOn.Load(), d.recorder.Load()
	s := r.Status()
	going = going || d.goingOn.Load()
	if r != d.recorder.Load() { // another came meanwhile
		return d.Status()
	}
	s.Rolling = s.Rolling || going
	if err := d.problem.Load(); err != nil && s.Problem == nil {
		s.Problem = *err
	}
	return s
}

// Here is the position of the sound that comes now, for MarkAt.
func (d *Deck) Here() int64 { return d.recorder.Load().Here() }

// MarkAt puts a marker into the rolling take.
func (d *Deck) MarkAt(at int64, text string) { d.recorder.Load().MarkAt(at, text) }

// Note notes something about the rolling take.
func (d *Deck) Note(text string) { d.recorder.Load().SetNote(text) }

// Slate sounds the slate tone and marks it.
func (d *Deck) Slate() { d.recorder.Load().Slate() }

// SetCamera changes the scale for the takes that are begun from now on.
func (d *Deck) SetCamera(c camera.Scale) {
	d.scale.Store(&c)
	d.recorder.Load().SetCamera(c)
}
