package rig

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"rollready/capture"
	"rollready/capture/demo"
	"rollready/capture/device"
	"rollready/capture/recording"
	"rollready/capture/rescue"
	"rollready/capture/rig/session"
)

// What an input may be besides a device.
const (
	DemoInput  = "demo"
	FilePrefix = "file:"
)

// DemoRateHz is the sample rate of the demo scene.
const DemoRateHz = 48000

// Input is a chosen input.
type Input struct {
	Choice   string       // part of a device's name, its id, "file:PATH" or "demo"; "": the default device
	Expect   string       // name of the device as last used, "" if none: another one is pointed out
	Twin     bool         // another had the name of that
	Pick     capture.Pick // channels
	Exact    bool         // one without these channels can't be heard
	Fallback bool         // the demo scene stands in where it can't be opened

	Open session.Opener    // instead of Choice; for tests
	hold func(play func()) // is told what lets a file begin to play; nil: at once
}

// Path is that of a file, "" for anything else.
func (i Input) Path() string {
	path, isFile := strings.CutPrefix(i.Choice, FilePrefix)
	if !isFile {
		return ""
	}
	return path
}

// opener gives what opens an input. warn is told of what does not stop it. A
// file is read until the context ends.
func (i Input) opener(ctx context.Context, system *device.System, warn func(error)) session.Opener {
	switch {
	case i.Open != nil:
		return i.Open
	case i.Path() != "":
		return func() (capture.Source, error) { return i.openFile(ctx, warn) }
	case i.Choice == DemoInput:
		return openDemo
	}
	return system.Input(i.Choice, i.Expect, i.Twin).Open
}

func openDemo() (capture.Source, error) { return demo.New(DemoRateHz), nil }

// openFile opens a file to be played in real time.
func (i Input) openFile(ctx context.Context, warn func(error)) (capture.Source, error) {
	src, err := recording.NewSource(ctx, i.Path(), true)
	if err != nil {
		return nil, err
	}
	warn(recording.CutShort(i.Path(), src.Reader()))
	warn(unheard(i, src.Reader()))
	if i.hold != nil {
		i.hold(src.Hold())
	}
	return src, nil
}

// unheard tells of channels of a file that nobody chose or left out, nil if
// there are none.
func unheard(i Input, r recording.Reader) error {
	if n := r.Format().Channels; n > 2 && i.Pick == capture.Auto {
		return fmt.Errorf("%s has %d channels: listening to 1+2; --channels chooses others", i.Path(), n)
	}
	return nil
}

// openSession opens an input and meters it, without anything around it. It may
// take seconds, but no longer than the context lives; the error says what to
// do. o's Open, Fallback, Expect and Pick are the input's.
func (i Input) openSession(ctx context.Context, system *device.System, o session.Options, warn func(error)) (*session.Session, error) {
	o.Open, o.Expect, o.Pick = i.opener(ctx, system, warn), i.Expect, i.Pick
	if i.Fallback {
		o.Fallback, o.Exact = openDemo, i.Exact
	}
	s, err := openIn(ctx, o)
	if errors.Is(err, capture.ErrNoInput) {
		err = fmt.Errorf("%w: connect a microphone, or use --input demo", err)
	}
	return s, err
}

// openIn leaves a device alone that does not answer before the context ends.
func openIn(ctx context.Context, o session.Options) (*session.Session, error) {
	type opened struct {
		s   *session.Session
		err error
	}
	here := make(chan opened)
	rescue.OrGo(o.Go)(func() {
		s, err := session.Open(o)
		select {
		case here <- opened{s, err}:
		case <-ctx.Done():
			if err == nil {
				s.Close()
			}
		}
	})
	select {
	case o := <-here:
		return o.s, o.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}
