package output

import (
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/capture/pulse"
	"rollready/capture/rescue"
	"rollready/capture/rig/session"
	"rollready/dsp/compare"
	"rollready/dsp/phrase"
	"rollready/dsp/strips"
	"rollready/presets"
)

// Device is an opened output device; *device.Output is one.
type Device interface {
	Format() capture.Format
	// PeriodFrames is the number of frames asked for at a time.
	PeriodFrames() int
	// Start begins to call fill with silent blocks, on the device's thread.
	Start(fill func(block []float32)) error
	// Volume is what the sound system does to it, as last read; at once.
	Volume() mixer.Setting
	// Done is closed when the device said that it stopped; it may never.
	Done() <-chan struct{}
	Close() error
}

// Opener opens the chosen output device. After a device was lost it is called
// again and again: it must then give that very device or an error. is names
// it.
type Opener func() (d Device, is presets.Output, err error)

// Source is what is heard.
type Source int

// The sources: the session's input, its output, and the two sides of a
// comparison.
const (
	Input Source = iota
	Output
	SideA
	SideB
	sources
)

// String names a source as a screen does.
func (s Source) String() string {
	return [...]string{"input", "output", "A", "B"}[s]
}

// Options is what a way out starts with.
type Options struct {
	Open   Opener
	Source Source
	// Camera is set for the way to the camera: it sounds at once, at the level
	// that was lined up, and nothing but Pause may silence it. Without, the way
	// is to headphones or speakers: it starts muted and low, and the howl
	// guard watches it.
	Camera bool
}

// Way is a running way out. All methods may be called from any goroutine.
type Way struct {
	session *session.Session
	options Options
	source  atomic.Int32
	asked   atomic.Uint32 // earcons to be played, a bit for each kind
	level   level
	counts  counts
	alarm   alarm
	back    atomic.Bool // muted by a loss, and by nothing else since
	fault   rescue.Fault

	patience time.Duration // until a device that asks for nothing counts as lost

	mu       sync.Mutex // guards all below, which no audio thread touches
	port     *port
	tap      *session.Tap
	settings [2]strips.Settings // of the comparison
	gains    [2]float64
	loop     *phrase.Loop
	watch    watch

	opened      chan opening
	quit, ended chan struct{}
	closing     sync.Once
}

// counts is what the audio thread counts over the life of the way.
type counts struct {
	dropouts atomic.Int64 // times the sound broke off
	lost     atomic.Int64 // frames left out or missing
}

// Open opens the device and begins to play the session to it. It may take
// seconds.
func Open(s *session.Session, o Options) (*Way, error) { return open(s, o, pulse.LostAfter) }

func open(s *session.Session, o Options, patience time.Duration) (*Way, error) {
	w := &Way{session: s, options: o, patience: patience, opened: make(chan opening), quit: make(chan struct{}), ended: make(chan struct{})}
	w.source.Store(int32(o.Source))
	w.level.muted.Store(!o.Camera)
	w.level.set(StartLevelDB)
	if o.Camera {
		w.level.set(0)
	}
	first := w.open()
	if first.err != nil {
		return nil, first.err
	}
	w.mu.Lock()
	w.adopt(first.port, time.Now())
	w.mu.Unlock()
	s.Go(w.lookAfter)
	return w, nil
}

// adopt makes a started port the one that plays. With mu held.
func (w *Way) adopt(p *port, now time.Time) {
	w.port = p
	w.watch = watch{returns: w.watch.returns}
	w.watch.asked.Begin(now.Add(startGrace))
	w.retap()
}

// retap makes a new stage for what the session now delivers. With mu held.
func (w *Way) retap() {
	w.untap()
	which := session.InputFrames | session.PhonesFrames
	if w.options.Camera {
		which = session.InputFrames | session.CameraFrames
	}
	tap := w.session.AddTap(which, ringSeconds)
	if tap.Cut() { // the session is closed
		return
	}
	w.tap = tap
	st := newStage(tap, w.port.device.Format(), w.port.device.PeriodFrames(), w)
	for s, set := range w.settings {
		st.pair.Set(compare.Side(s), set)
		st.pair.SetGainDB(compare.Side(s), w.gains[s])
	}
	st.play(w.loop)
	w.port.stage.Store(st)
}

func (w *Way) untap() {
	w.port.stage.Store(nil)
	if w.tap != nil {
		w.session.RemoveTap(w.tap)
		w.tap = nil
	}
}

// Close ends the way within about a second.
func (w *Way) Close() {
	w.closing.Do(func() {
		close(w.quit)
		<-w.ended
		w.mu.Lock()
		defer w.mu.Unlock()
		w.untap()
		w.port.device.Close()
	})
}
