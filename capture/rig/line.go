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
	l.ways.pause(out.name(), true)
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
		l.ways.pause(out.name(), false)
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
	l.state.Store(&LineState{Sounds: ToneSounds, Output: out.name(), LevelDBFS: level})
	l.run(out, func() bool {
		now := *l.wanted.Load()
		level = min(level+riseDB, now.LevelDBFS)
		now.LevelDBFS = level
		generator.Set(now)
		l.state.Store(&LineState{Sounds: ToneSounds, Output: out.name(), Volume: out.output.Volume(), LevelDBFS: level})
		return false
	}, func() LineState {
		generator.Set(tone.Settings{Hz: s.Hz, LevelDBFS: math.Inf(-1)})
		time.Sleep(fadeTime)
		return LineState{}
	})
	return nil
}

// Sequence opens an output and sends the sequence.
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
	s := &player{Player: sequence.NewPlayer(rate, out.format().Channels)}
	if err := out.start(s.fill); err != nil {
		out.close()
		return err
	}
	now := func() *LineState {
		gone := float64(s.frame.Load()) / float64(rate)
		return &LineState{Sounds: SequenceSounds, Output: out.name(), Volume: out.output.Volume(), Part: string(partAt(gone)), Seconds: gone, Of: sequence.Seconds()}
	}
	l.state.Store(now())
	l.run(out, func() bool { l.state.Store(now()); return s.ended.Load() }, func() LineState {
		if !s.ended.Load() {
			return LineState{}
		}
		volume := out.output.Volume()
		time.Sleep(tailTime) // what the device holds must sound
		return LineState{Sent: true, Output: out.name(), Volume: volume}
	})
	return nil
}

// Clip measures the camera's clip of the sequence.
func (l *line) Clip(path string) (lineup.Result, error) {
	return MeasureClip(context.Background(), path, 1)
}

// player is the sequence on its way; the audio thread plays, others watch.
type player struct {
	*sequence.Player
	frame atomic.Int64
	ended atomic.Bool
}

func (s *player) fill(block []float32) {
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
