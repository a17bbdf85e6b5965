package ab

import (
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/compare"
	"rollready/dsp/phrase"
	"rollready/dsp/strips"
)

const (
	updates      = 60  // per second
	tapSeconds   = 2   // how late an update may come
	matchSeconds = 6.0 // of live sound that the match goes by; with a phrase, its length
	biteFrames   = 480 // handled at a time
)

// Bench is a running comparison. All methods may be called from any
// goroutine.
type Bench struct {
	session *session.Session
	ways    []*output.Way // that play the sides
	state   atomic.Pointer[State]

	mu       sync.Mutex // guards all below
	tap      *session.Tap
	pair     *compare.Pair
	meters   [2]*dsp.Meter
	matcher  *compare.Matcher
	settings [2]strips.Settings
	view     dsp.View
	matched  bool
	loop     *phrase.Loop
	playing  bool
	player   *phrase.Player // nil: live
	in       []float32
	folds    [2]*strips.Fold // to what is heard of the sides
	heard    [2][]float32

	quit, ended chan struct{}
	closing     sync.Once
}

// State is what there is to see of a comparison. A plain value.
type State struct {
	Readings     [2]dsp.Reading         // of sides A and B; their Input is what feeds both
	BandsDB      [dsp.BandCount]float64 // how far B's bands lie above A's
	DifferenceDB float64                // by how many LU B is louder than A
	Known        bool                   // DifferenceDB means something
	Matched      bool                   // the louder side is lowered for the ear
	GainsDB      [2]float64             // by which they are heard: 0 unless matched
	Phrase       float64                // seconds of the captured phrase, 0: none
	Playing      bool                   // the phrase feeds both sides, not the live input
	Place        float64                // of the phrase now, 0…1
}

// Start begins to compare two settings, which must pass Check. The ways out
// play whichever side they are told to Hear.
func Start(s *session.Session, a, b strips.Settings, v dsp.View, ways ...*output.Way) *Bench {
	c := &Bench{session: s, ways: ways, settings: [2]strips.Settings{a, b}, view: v,
		quit: make(chan struct{}), ended: make(chan struct{})}
	c.state.Store(&State{})
	for side, set := range c.settings {
		c.tellSettings(compare.Side(side), set)
	}
	c.retap()
	c.publish()
	s.Go(c.run)
	return c
}

// Close ends the comparison. The ways play on, without gains and phrase.
func (c *Bench) Close() {
	c.closing.Do(func() {
		close(c.quit)
		<-c.ended
		c.mu.Lock()
		defer c.mu.Unlock()
		c.session.RemoveTap(c.tap)
		c.loop, c.playing, c.matched = nil, false, false
		c.tell()
	})
}

// State gives the newest state.
func (c *Bench) State() State { return *c.state.Load() }

// Settings gives the settings of one side: to keep the winner as a preset.
func (c *Bench) Settings(s compare.Side) strips.Settings {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.settings[s]
}

// Set changes one side; the settings must pass Check.
func (c *Bench) Set(s compare.Side, set strips.Settings) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.settings[s] = set
	if c.pair != nil {
		c.pair.Set(s, set)
	}
	c.tellSettings(s, set)
}

// SetView changes how both sides are metered.
func (c *Bench) SetView(v dsp.View) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.view = v
	for _, m := range c.meters {
		if m != nil {
			m.SetView(v)
		}
	}
}

// SetMatch switches loudness matching.
func (c *Bench) SetMatch(on bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.matched = on
	c.tell()
}

// Capture makes a phrase of the last seconds of the input and plays it. The
// error says that there is too little; then nothing changes.
func (c *Bench) Capture() error {
	loop, err := c.session.Phrase()
	if err != nil {
		return err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.loop = loop
	c.play(true)
	return nil
}

// Phrase is the captured phrase, nil if there is none.
func (c *Bench) Phrase() *phrase.Loop {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.loop
}

// SetPhrase takes a phrase captured earlier, without playing it. One of
// another format than the session's is not taken.
func (c *Bench) SetPhrase(loop *phrase.Loop) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if loop != nil && c.pair != nil && c.fits(loop) {
		c.loop = loop
	}
}

// PlayPhrase goes over to the captured phrase, or back to live input. Without
// a phrase it does nothing.
func (c *Bench) PlayPhrase(on bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.play(on && c.loop != nil)
}

// play: with mu held.
func (c *Bench) play(on bool) {
	if c.pair == nil {
		return
	}
	c.playing, c.player = on, nil
	seconds := matchSeconds
	var loop *phrase.Loop
	if on {
		loop, seconds = c.loop, c.loop.Seconds()
		c.player = phrase.NewPlayer(loop)
	}
	f := c.tap.Format()
	c.matcher = compare.NewMatcher(f.RateHz, 2, seconds)
	for _, w := range c.ways {
		w.Play(loop)
	}
}

// retap begins anew for what the session now delivers. With mu held, or
// before run. A phrase of another format is forgotten.
func (c *Bench) retap() {
	if c.tap != nil {
		c.session.RemoveTap(c.tap)
	}
	c.tap = c.session.AddTap(session.InputFrames, tapSeconds)
	f := c.tap.Format()
	if c.tap.Cut() { // the session is closed
		return
	}
	c.pair = compare.NewPair(f.RateHz, f.Channels)
	for side, set := range c.settings {
		c.pair.Set(compare.Side(side), set)
		c.meters[side] = dsp.NewMeter(f.RateHz, f.Channels, c.view)
		c.folds[side], c.heard[side] = c.session.Ears().Fold(f.RateHz, f.Channels), make([]float32, 2*biteFrames)
	}
	c.in = make([]float32, biteFrames*f.Channels)
	if c.loop != nil && !c.fits(c.loop) {
		c.loop, c.playing = nil, false
	}
	c.play(c.playing)
}

// fits tells whether a phrase has the session's format. With mu held.
func (c *Bench) fits(loop *phrase.Loop) bool {
	hz, channels := loop.Format()
	f := c.tap.Format()
	return hz == f.RateHz && channels == f.Channels
}

// tellSettings tells the ways one side's settings.
func (c *Bench) tellSettings(s compare.Side, set strips.Settings) {
	for _, w := range c.ways {
		w.SetSide(s, set)
	}
}

// tell tells the ways gains and phrase. With mu held.
func (c *Bench) tell() {
	for _, w := range c.ways {
		w.SetGains(c.gains())
		if !c.playing {
			w.Play(nil)
		}
	}
}

func (c *Bench) gains() (gainsDB [2]float64) {
	if c.matched && c.matcher != nil {
		gainsDB = c.matcher.GainsDB()
	}
	return gainsDB
}

func (c *Bench) run() {
	defer close(c.ended)
	tick := time.NewTicker(time.Second / updates)
	defer tick.Stop()
	for {
		select {
		case <-c.quit:
			return
		case <-tick.C:
			c.mu.Lock()
			c.update()
			c.mu.Unlock()
		}
	}
}

// update runs what has come through both sides. With mu held.
func (c *Bench) update() {
	if c.tap.Cut() {
		c.retap()
	}
	for c.tap.Input != nil && c.tap.Input.Len() > 0 {
		in := c.in[:c.tap.Input.Read(c.in)*c.tap.Format().Channels]
		if c.player != nil {
			c.player.Read(in)
		}
		var heard [2][]float32
		for s, out := range c.pair.Process(in) {
			heard[s] = c.heard[s][:2*len(in)/c.tap.Format().Channels]
			c.folds[s].Process(heard[s], out.Strips)
			c.meters[s].Process(in, out.Strips, out.Camera)
		}
		c.matcher.Process(heard)
	}
	for _, w := range c.ways {
		w.SetGains(c.gains())
	}
	c.publish()
}

func (c *Bench) publish() {
	if c.pair == nil {
		return
	}
	s := State{Matched: c.matched, GainsDB: c.gains(), Playing: c.playing}
	for side, m := range c.meters {
		s.Readings[side] = m.Reading()
	}
	s.BandsDB = compare.Bands(s.Readings[compare.A], s.Readings[compare.B])
	s.DifferenceDB, s.Known = c.matcher.DifferenceDB()
	if c.loop != nil {
		s.Phrase = c.loop.Seconds()
	}
	if c.player != nil {
		s.Place = c.player.Place()
	}
	c.state.Store(&s)
}
