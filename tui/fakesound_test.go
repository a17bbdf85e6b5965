package tui

import (
	"sync"

	"rollready/capture/rig"

	"rollready/capture/mixer"
	"rollready/capture/rig/ab"
	"rollready/capture/rig/output"
	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/chain"
	"rollready/dsp/compare"
	"rollready/dsp/earcon"
	"rollready/dsp/strips"
	"rollready/presets"
)

// fakeSound remembers what it was told.
type fakeSound struct {
	mu     sync.Mutex
	engine *fakeEngine
	ways   [2]output.Status
	has    [2]bool
	bench  *fakeBench // the one running, nil: none
	closed int
	use    func(rig.Place, string) error
}

func newFakeSound(e *fakeEngine) *fakeSound { return &fakeSound{engine: e} }

// plugIn gives it headphones.
func (s *fakeSound) plugIn() {
	s.has[rig.Headphones] = true
	s.ways[rig.Headphones] = output.Status{Device: presets.Output{Name: "Headphone jack"}, Muted: true, LevelDB: output.StartLevelDB, Source: output.Output,
		DelayMS: 21.3, DriftPPM: 12.4}
}

// feedCamera gives it a way to the camera, at a volume of the system.
func (s *fakeSound) feedCamera(volume mixer.Setting) {
	s.has[rig.CameraInput] = true
	s.ways[rig.CameraInput] = output.Status{Device: presets.Output{Name: "USB interface"}, Source: output.Output, Volume: volume, DelayMS: 21.3, DriftPPM: 12.4}
}

func (s *fakeSound) Status(p rig.Place) (output.Status, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ways[p], s.has[p]
}

func (s *fakeSound) Use(p rig.Place, choice string) error {
	if s.use == nil {
		return nil
	}
	return s.use(p, choice)
}

func (s *fakeSound) tell(do func(*output.Status)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	do(&s.ways[rig.Headphones])
}

func (s *fakeSound) SetMute(on bool) {
	s.tell(func(w *output.Status) {
		w.Muted = on
		if !on {
			w.Alarm = ""
		}
	})
}
func (s *fakeSound) SetLevel(dB float64)  { s.tell(func(w *output.Status) { w.LevelDB = dB }) }
func (s *fakeSound) Earcon(earcon.Kind)   {}
func (s *fakeSound) Hear(o output.Source) { s.tell(func(w *output.Status) { w.Source = o }) }

func (s *fakeSound) Compare(a, b strips.Settings, _ dsp.View) rig.Bench {
	s.bench = &fakeBench{sound: s, sides: [2]strips.Settings{a, b}}
	return s.bench
}

// fakeBench makes its readings of the engine's, by what the settings do to
// each band.
type fakeBench struct {
	sound   *fakeSound
	sides   [2]strips.Settings
	matched bool
	phrase  float64
	playing bool
	err     error
}

func (b *fakeBench) Set(s compare.Side, to strips.Settings) { b.sides[s] = to }

// chain is that of the first microphone.
func (b *fakeBench) chain(s compare.Side) chain.Settings { return b.sides[s].Chain(0) }

func (b *fakeBench) SetView(dsp.View)   {}
func (b *fakeBench) SetMatch(on bool)   { b.matched = on }
func (b *fakeBench) PlayPhrase(on bool) { b.playing = on }
func (b *fakeBench) Close()             { b.sound.bench = nil; b.sound.closed++ }

func (b *fakeBench) Capture() error {
	if b.err == nil {
		b.phrase, b.playing = 9.4, true
	}
	return b.err
}

func (b *fakeBench) State() ab.State {
	s := ab.State{Matched: b.matched, Known: true, Phrase: b.phrase, Playing: b.playing, Place: 0.4}
	e := b.sound.engine
	e.mu.Lock()
	live, view := e.strips, e.view
	e.mu.Unlock()
	for side := range b.sides {
		e.SetStrips(b.sides[side])
		r := e.Reading()
		for i := range r.Bands {
			r.Bands[i].LevelDBFS += b.chain(compare.Side(side)).ResponseDB(bands.At(i).NominalHz, 48000)
		}
		s.Readings[side] = r
	}
	e.SetStrips(live)
	e.SetView(view)
	s.BandsDB = compare.Bands(s.Readings[0], s.Readings[1])
	s.DifferenceDB = b.chain(1).GainDB - b.chain(0).GainDB + 2.3
	if b.matched {
		s.GainsDB = [2]float64{min(s.DifferenceDB, 0), min(-s.DifferenceDB, 0)}
	}
	return s
}
