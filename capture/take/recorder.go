package take

import (
	"errors"
	"fmt"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture"
	"rollready/capture/rescue"
	"rollready/capture/take/bwf"
	"rollready/capture/track"
	"rollready/capture/wavfile"
	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/verdict"
)

// Config is how takes are recorded. Zero fields get the defaults of New.
type Config struct {
	Dir      string           // of the files; made if it is not there
	Pattern  string           // of the names: DefaultPattern
	Format   capture.Format   // of what Feed gets: 1 to dsp.MaxChannels channels, input and output alike
	Who      []string         // who speaks into each channel, for the tracks' names; nil: nobody said
	Encoding wavfile.Encoding // PCM24
	NoInput  bool             // leave out the raw input tracks
	Safety   bool             // add the output 10 dB lower: keeps up to 10 dB over full scale
	Camera   camera.Scale     // for the level at the camera
	PreRoll  time.Duration    // recorded before the key: 5 s; negative: none
	Slack    time.Duration    // how long the disk may pause: 10 s

	SilenceAfter time.Duration // alarm: 10 s; negative: none
	DiskWarning  time.Duration // alarm when less can be recorded: 10 min; negative: none

	Now      func() time.Time                // time.Now; must not allocate
	DiskFree func(dir string) (int64, error) // bytes; DiskFree
	OpenFile bwf.OpenFunc                    // bwf.Open
	Go       func(f func())                  // starts the recorder's goroutine, as rescue.Rescue does; nil: go
}

func (c *Config) defaults() {
	set(&c.Pattern, DefaultPattern)
	set(&c.Encoding, wavfile.PCM24)
	set(&c.PreRoll, 5*time.Second)
	set(&c.Slack, 10*time.Second)
	set(&c.SilenceAfter, 10*time.Second)
	set(&c.DiskWarning, 10*time.Minute)
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.DiskFree == nil {
		c.DiskFree = DiskFree
	}
	c.Go = rescue.OrGo(c.Go)
	if c.Camera == (camera.Scale{}) {
		c.Camera = camera.Default
	}
	c.PreRoll = max(0, c.PreRoll)
}

func set[T comparable](field *T, value T) {
	var zero T
	if *field == zero {
		*field = value
	}
}

func (c *Config) check() error {
	if c.Format.Channels < 1 || c.Format.Channels > dsp.MaxChannels {
		return fmt.Errorf("record %d channels: 1 to %d are possible", c.Format.Channels, dsp.MaxChannels)
	}
	if c.PreRoll > time.Minute || c.Slack > time.Minute {
		return errors.New("pre-record and slack: at most 60 s each, they are kept in memory")
	}
	if err := CheckPattern(c.Pattern); err != nil {
		return fmt.Errorf("name pattern %q: %w", c.Pattern, err)
	}
	return nil
}

// tracks names the channels of a file, in order.
func (c *Config) tracks() []string { return c.named(!c.NoInput) }

// measured are the tracks of a take whether the file keeps all of them or not:
// the input tells what overloads.
func (c *Config) measured() []track.Track {
	names := c.named(true)
	return track.Named(names, len(names))
}

func (c *Config) named(input bool) (names []string) {
	kinds := []string{string(verdict.Processed)}
	if input {
		kinds = append(kinds, string(verdict.Raw))
	}
	if c.Safety {
		kinds = append(kinds, string(verdict.Safety)+" -10 dB")
	}
	for _, kind := range kinds {
		for n := range c.Format.Channels {
			name := fmt.Sprintf("%s %d", kind, n+1)
			if n < len(c.Who) && c.Who[n] != "" {
				name += " " + c.Who[n]
			}
			names = append(names, name)
		}
	}
	return names
}

// Recorder records one take after another. Feed and MixSlate belong to the
// audio thread, Battery and Dropped to anyone, the rest to any goroutine but
// the audio thread.
type Recorder struct {
	config  Config
	epoch   time.Time
	intake  *intake
	slate   *slate
	status  atomic.Pointer[Status]
	dropped atomic.Int64  // frames lost before us
	sent    atomic.Uint32 // bits of the highest magnitude sent to the camera, since Roll
	battery atomic.Int64  // percent, or ≥ 1000 when on mains
	camera  atomic.Pointer[camera.Scale]

	inboxMu sync.Mutex
	inbox   []word
	note    *string // to be taken up; nil: none

	mu      sync.Mutex // the fields below; held while the disk is written
	roll    *roll      // nil: not rolling
	last    Take       // that ended last
	problem error      // why it ended by itself
	watch   watch
	alarms  alarms
	disk    disk
	scratch []float32 // frames of the intake
	laid    []float32 // frames of all tracks
	block   []float32 // frames of the file

	stop chan struct{}
	done chan struct{}
}

// word is a marker on its way from Mark to the take.
type word struct {
	at   int64 // position
	text string
}

// How often the recorder's goroutine looks at the ring: while a take rolls, and
// while it only keeps the pre-record from growing.
const (
	stepEvery = 40 * time.Millisecond
	idleEvery = 200 * time.Millisecond
)

// New makes a recorder and starts its goroutine. It holds pre-record and
// slack in memory; nothing is written before Roll.
func New(c Config) (*Recorder, error) {
	r, err := newRecorder(c)
	if err != nil {
		return nil, err
	}
	r.config.Go(r.run)
	return r, nil
}

// newRecorder makes one without a goroutine, for step to be called by hand.
func newRecorder(c Config) (*Recorder, error) {
	c.defaults()
	if err := c.check(); err != nil {
		return nil, err
	}
	r := &Recorder{config: c, epoch: c.Now(), slate: newSlate(c.Format.RateHz),
		alarms: alarms{}, stop: make(chan struct{}), done: make(chan struct{})}
	frames := int((c.PreRoll + c.Slack).Seconds() * float64(c.Format.RateHz))
	r.intake = newIntake(frames, c.Format.Channels, func() int64 { return int64(r.config.Now().Sub(r.epoch)) })
	r.watch = newWatch(r.intake, r.epoch, c.Format.RateHz)
	r.scratch = make([]float32, 2048*2*c.Format.Channels)
	r.battery.Store(onMains)
	r.camera.Store(&c.Camera)
	r.status.Store(&Status{DiskLeft: -1})
	return r, nil
}

func (r *Recorder) run() {
	defer close(r.done)
	next := time.NewTimer(idleEvery)
	defer next.Stop()
	for {
		select {
		case <-r.stop:
			return
		case <-next.C:
		}
		r.step(r.config.Now())
		if r.rolls() {
			next.Reset(stepEvery)
		} else {
			next.Reset(idleEvery)
		}
	}
}

// Close ends a rolling take and the goroutine. A Feed after it comes to nothing.
func (r *Recorder) Close() error {
	close(r.stop)
	<-r.done
	if !r.rolls() {
		return nil
	}
	_, err := r.Stop()
	return err
}

func (r *Recorder) rolls() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.roll != nil
}

// Feed takes a block before and after the chain, of the same length. Audio
// thread: does not allocate, lock or block.
func (r *Recorder) Feed(in, out []float32) { r.intake.feed(in, out) }

// MixSlate adds the slate tone to a block behind the chain while it sounds, and
// to both stereo feeds, and remembers how high the camera's is. It goes before Feed and before the output device, so
// that camera and file get the same. Audio thread: does not allocate, lock or
// block.
func (r *Recorder) MixSlate(out, camera, phones []float32) {
	r.slate.mix(out, camera, phones, r.config.Format.Channels, r.intake.fed.Load())
	top := uint32(0)
	for _, x := range camera { // magnitudes order as their bits do
		if a := math.Float32bits(x) &^ (1 << 31); a > top && a < infinite {
			top = a
		}
	}
	if top > r.sent.Load() {
		r.sent.Store(top)
	}
}

const infinite = 0x7f800000

// Slate sounds the slate tone with the next block and marks its first frame.
func (r *Recorder) Slate() { r.slate.wanted.Store(true) }

// Mark puts a marker where the sound is now. It never waits for the disk.
func (r *Recorder) Mark(text string) { r.MarkAt(r.Here(), text) }

// Here is the position of the sound that comes now, for a marker whose word
// is not known yet.
func (r *Recorder) Here() int64 { return r.intake.fed.Load() }

// MarkAt puts a marker at a position in the rolling take; one from before its
// first frame is forgotten. It never waits for the disk.
func (r *Recorder) MarkAt(at int64, text string) {
	r.inboxMu.Lock()
	defer r.inboxMu.Unlock()
	r.inbox = append(r.inbox, word{at, text})
}

// SetNote notes something about the rolling take. It never waits for the disk.
func (r *Recorder) SetNote(text string) {
	r.inboxMu.Lock()
	defer r.inboxMu.Unlock()
	r.note = &text
}

// SetCamera changes the scale for the takes that are begun from now on. It
// never waits for the disk.
func (r *Recorder) SetCamera(c camera.Scale) { r.camera.Store(&c) }

// Battery says how full the battery is; on mains there is no alarm.
func (r *Recorder) Battery(percent int, mains bool) {
	if mains {
		percent = onMains
	}
	r.battery.Store(int64(percent))
}

// Dropped adds frames that were lost before the recorder: by the device, or
// in the session. Fit for an audio thread.
func (r *Recorder) Dropped(frames int64) { r.dropped.Add(frames) }
