package rig

import (
	"context"
	"errors"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture/device"
	"rollready/capture/mixer"
	"rollready/capture/rescue"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/sequence"
	"rollready/dsp/lineup/tone"
)

// NewLine makes a Line over real devices, for a program without a rig. start
// starts goroutines, as rescue.Rescue does; nil: go.
func NewLine(system *device.System, start func(f func())) Line {
	return newLine(system, &ways{}, start)
}

// line opens an output for as long as something sounds.
type line struct {
	system *device.System
	ways   *ways
	start  func(f func())
	state  atomic.Pointer[LineState]
	wanted atomic.Pointer[tone.Settings]

	mu    sync.Mutex // held while an output is opened or closed
	leave func()     // ends what sounds and waits for it; nil: nothing does
}

func newLine(system *device.System, w *ways, start func(f func())) *line {
	l := &line{system: system, ways: w, start: rescue.OrGo(start)}
	l.state.Store(&LineState{})
	l.wanted.Store(&tone.Default)
	return l
}

// Outputs lists the devices there are.
func (l *line) Outputs() ([]Device, error) {
	found, err := l.system.Outputs()
	status, _ := l.ways.Status(CameraInput)
	return devices(found, err, status.Device)
}

// State tells what sounds.
func (l *line) State() LineState { return *l.state.Load() }

// Volume gives what the sound system does to an output.
func (l *line) Volume(choice string) mixer.Setting { return l.system.OutputVolume(choice) }

// Set changes the tone that sounds.
func (l *line) Set(s tone.Settings) { l.wanted.Store(&s) }

// Stop ends what sounds.
func (l *line) Stop() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.stop()
}

func (l *line) stop() {
	if l.leave != nil {
		l.leave()
		l.leave = nil
	}
}

// run watches an output on its own goroutine until what sounds is over or
// stopped; end says what to leave behind and may let the sound fade. The
// session is not heard over the same device meanwhile.
func (l *line) run(out *sounding, do func() (done bool), end func() LineState) {
	l.ways.pause(out.is(), true)
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan struct{})
	l.leave = func() { cancel(); <-over }
	l.start(func() {
		defer close(over)
		err := out.each(ctx, do)
		state := end()
		if err != nil && !errors.Is(err, context.Canceled) {
			state = LineState{Fault: err.Error()}
		}
		out.close()
		l.ways.pause(out.is(), false)
		l.state.Store(&state)
	})
}

const (
	fadeTime = 150 * time.Millisecond  // lets a tone's end pass through a prompt output
	tailTime = 1200 * time.Millisecond // longer than any device's buffer
	riseDB   = 2.0                     // how far a tone rises in a tenth of a second
	lowDB    = 40.0                    // how far below its level it begins
)

// Tone opens an output and lets the tone rise from low.
func (l *line) Tone(choice string, s tone.Settings) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.stop()
	o, err := l.system.OpenOutput(choice, 0, 0)
	if err != nil {
		return err
	}
	out := &sounding{output: o}
	l.Set(s)
	generator := tone.New(out.format().RateHz, out.format().Channels)
	if err := out.start(generator.Process); err != nil {
		out.close()
		return err
	}
	level := max(tone.MinDBFS, s.LevelDBFS-lowDB)
	l.state.Store(&LineState{Sounds: ToneSounds, Output: out.is(), LevelDBFS: level})
	l.run(out, func() bool {
		now := *l.wanted.Load()
		level = min(level+riseDB, now.LevelDBFS)
		now.LevelDBFS = level
		generator.Set(now)
		l.state.Store(&LineState{Sounds: ToneSounds, Output: out.is(), Volume: out.output.Volume(), LevelDBFS: level})
		return false
	}, func() LineState {
		generator.Set(tone.Settings{Hz: s.Hz, LevelDBFS: math.Inf(-1)})
		time.Sleep(fadeTime)
		return LineState{}
	})
	return nil
}

// Sequence opens an output and sends the sequence, after a tone that rises: who
// wears the headphones by mistake has two seconds.
func (l *line) Sequence(choice string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.stop()
	o, err := l.system.OpenSteadyOutput(choice)
	if err != nil {
		return err
	}
	out := &sounding{output: o}
	rate := out.format().RateHz
	s := newPlayer(rate, out.format().Channels)
	if err := out.start(s.fill); err != nil {
		out.close()
		return err
	}
	now := func() *LineState {
		gone, part := float64(s.frame.Load())/float64(rate), "rising tone"
		if s.begun.Load() {
			part = string(partAt(gone))
		}
		return &LineState{Sounds: SequenceSounds, Output: out.is(), Volume: out.output.Volume(), Part: part, Seconds: gone, Of: sequence.Seconds()}
	}
	l.state.Store(now())
	l.run(out, func() bool { s.lead(); l.state.Store(now()); return s.ended.Load() }, func() LineState {
		if !s.ended.Load() {
			return LineState{}
		}
		volume := out.output.Volume()
		time.Sleep(tailTime) // what the device holds must sound
		return LineState{Sent: true, Output: out.is(), Volume: volume}
	})
	return nil
}

// Clip measures the camera's clip of the sequence.
func (l *line) Clip(path string) (lineup.Result, error) {
	return MeasureClip(context.Background(), path, 1)
}

// player is the sequence on its way, behind a tone that leads to it; the audio
// thread plays, another lets the tone rise and watches.
type player struct {
	*sequence.Player
	rising *tone.Generator
	level  float64 // of the rising tone
	rest   int     // tenths of a second of silence between
	begun  atomic.Bool
	frame  atomic.Int64
	ended  atomic.Bool
}

// The tone that leads to the sequence, and the silence after it in tenths of a
// second.
const (
	leadFromDBFS = -60.0
	leadToDBFS   = -20.0
	leadHz       = 400.0
	leadRest     = 5
)

func newPlayer(rateHz, channels int) *player {
	s := &player{Player: sequence.NewPlayer(rateHz, channels), rising: tone.New(rateHz, channels), level: leadFromDBFS}
	s.rising.Set(tone.Settings{Hz: leadHz, LevelDBFS: leadFromDBFS})
	return s
}

// lead lets the tone rise, ten times a second, and then the sequence begin.
func (s *player) lead() {
	switch {
	case s.level < leadToDBFS:
		s.level = min(s.level+riseDB, leadToDBFS)
		s.rising.Set(tone.Settings{Hz: leadHz, LevelDBFS: s.level})
	case s.rest < leadRest:
		s.rest++
		s.rising.Set(tone.Settings{Hz: leadHz, LevelDBFS: math.Inf(-1)})
	default:
		s.begun.Store(true)
	}
}

func (s *player) fill(block []float32) {
	if !s.begun.Load() {
		s.rising.Process(block)
		return
	}
	if s.Read(block) == 0 {
		s.ended.Store(true)
	}
	frame, _ := s.Position()
	s.frame.Store(frame)
}

// partAt is the part of the sequence that sounds.
func partAt(seconds float64) sequence.Kind {
	part := sequence.Pause
	for _, s := range sequence.Sections() {
		if seconds >= s.Start {
			part = s.Kind
		}
	}
	return part
}
