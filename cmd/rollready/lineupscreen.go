package main

import (
	"context"
	"errors"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture/device"
	"rollready/capture/mixer"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/sequence"
	linetone "rollready/dsp/lineup/tone"
	"rollready/tui"
)

// line is the screens' way to the camera: it opens an output for as long as
// something sounds.
type line struct {
	system *device.System
	sound  *sound
	state  atomic.Pointer[tui.LineState]
	wanted atomic.Pointer[linetone.Settings]

	mu    sync.Mutex // held while an output is opened or closed
	leave func()     // ends what sounds and waits for it; nil: nothing does
}

func newLine(system *device.System, s *sound) *line {
	l := &line{system: system, sound: s}
	l.state.Store(&tui.LineState{})
	l.wanted.Store(&linetone.Default)
	return l
}

// Outputs lists the devices there are.
func (l *line) Outputs() ([]tui.Output, error) {
	found, err := l.system.Outputs()
	var list []tui.Output
	inUse := ""
	if status, open := l.sound.Status(tui.CameraInput); open {
		inUse = status.Device
	}
	for _, o := range found {
		list = append(list, tui.Output{Choice: o.Key(), Name: o.Name, Detail: deviceDetail(o, found), Default: o.Default, InUse: o.Name == inUse})
	}
	if errors.Is(err, device.ErrNoOutput) {
		err = nil // an empty list says it
	}
	return list, err
}

// State tells what sounds.
func (l *line) State() tui.LineState { return *l.state.Load() }

// Volume gives what the sound system does to an output.
func (l *line) Volume(choice string) mixer.Setting { return l.system.OutputVolume(choice) }

// Set changes the tone that sounds.
func (l *line) Set(s linetone.Settings) { l.wanted.Store(&s) }

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
// session is not heard over the same device meanwhile: it would add to what
// the camera's meter reads.
func (l *line) run(out *sounding, do func() (done bool), end func() tui.LineState) {
	l.pause(out.name(), true)
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan struct{})
	l.leave = func() { cancel(); <-over }
	l.sound.session.Go(func() {
		defer close(over)
		err := out.each(ctx, do)
		state := end()
		if err != nil && !errors.Is(err, context.Canceled) {
			state = tui.LineState{Fault: err.Error()}
		}
		out.close()
		l.pause(out.name(), false)
		l.state.Store(&state)
	})
}

func (l *line) pause(device string, on bool) {
	for _, place := range [...]tui.OutputPlace{tui.Headphones, tui.CameraInput} {
		if way := l.sound.way(place); way != nil && way.Status().Device == device {
			way.Pause(on)
		}
	}
}

// fadeTime lets a tone's end pass through a prompt output.
const fadeTime = 150 * time.Millisecond

// Tone opens an output and lets the tone rise from low.
func (l *line) Tone(choice string, s linetone.Settings) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.stop()
	o, err := l.system.OpenOutput(choice, 0, 0)
	if err != nil {
		return err
	}
	out := &sounding{output: o}
	l.Set(s)
	generator := linetone.New(out.format().RateHz, out.format().Channels)
	if err := out.start(generator.Process); err != nil {
		out.close()
		return err
	}
	level := max(linetone.MinDBFS, s.LevelDBFS-40)
	l.state.Store(&tui.LineState{Sounds: tui.ToneSounds, Output: out.name(), LevelDBFS: level})
	l.run(out, func() bool {
		now := *l.wanted.Load()
		level = min(level+riseDB, now.LevelDBFS)
		now.LevelDBFS = level
		generator.Set(now)
		l.state.Store(&tui.LineState{Sounds: tui.ToneSounds, Output: out.name(), Volume: out.output.Volume(), LevelDBFS: level})
		return false
	}, func() tui.LineState {
		generator.Set(linetone.Settings{Hz: s.Hz, LevelDBFS: math.Inf(-1)})
		time.Sleep(fadeTime)
		return tui.LineState{}
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
	s := &sending{player: sequence.NewPlayer(rate, out.format().Channels)}
	if err := out.start(s.fill); err != nil {
		out.close()
		return err
	}
	now := func() *tui.LineState {
		gone := float64(s.frame.Load()) / float64(rate)
		return &tui.LineState{Sounds: tui.SequenceSounds, Output: out.name(), Volume: out.output.Volume(), Part: string(kindAt(gone)), Seconds: gone, Of: sequence.Seconds()}
	}
	l.state.Store(now())
	l.run(out, func() bool { l.state.Store(now()); return s.ended.Load() }, func() tui.LineState {
		if !s.ended.Load() {
			return tui.LineState{}
		}
		volume := out.output.Volume()
		time.Sleep(tailTime) // what the device holds must sound
		return tui.LineState{Sent: true, Output: out.name(), Volume: volume}
	})
	return nil
}

// Clip measures the camera's clip of the sequence.
func (l *line) Clip(path string) (lineup.Result, error) {
	return measureClip(context.Background(), path, 1)
}
