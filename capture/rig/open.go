package rig

import (
	"context"
	"errors"
	"fmt"
	"time"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/power"
	"rollready/capture/rescue"
	"rollready/capture/rig/deck"
	"rollready/capture/rig/guided"
	"rollready/capture/rig/session"
	"rollready/presets"
)

// OutputOff is the choice of no output, where one is kept from last time.
const OutputOff = "off"

// Options is what Open starts with.
type Options struct {
	System   *device.System
	Rescue   *rescue.Rescue
	Store    *presets.Store
	Kept     presets.Settings // as they are on the disk
	Settings presets.Settings // as they shall be
	Camera   presets.Camera   // the profile Settings.CameraName names
	Input    Input

	// Outputs asked for, by Place: part of a name, an id or OutputOff; "": that
	// of last time.
	Outputs [2]string

	// Fits refuses settings for more microphones than there are; nil refuses
	// nothing.
	Fits func(microphones int) error

	Warn func(error) // is told what the user must know and does not stop; nil is nothing
}

// Open opens input, outputs and recorder and keeps what is changed from now
// on. It may take seconds, but its input no longer than the context lives. An
// output of last time that is not there now is no error. Close the rig.
func Open(ctx context.Context, o Options) (_ *Rig, err error) {
	var opened closers
	defer func() {
		if err != nil {
			_ = opened.close()
		}
	}()
	s, err := o.hear(ctx)
	if err != nil {
		return nil, err
	}
	opened.add(func() error { s.Close(); return nil })
	w := &ways{system: o.System, session: s}
	opened.add(w.close)
	if err := openOutputs(w, &o); err != nil {
		return nil, err
	}
	noteInput(s, &o)
	d, err := deck.Open(s, o.Settings.Recording, o.Camera.Scale, power.Read)
	if err != nil {
		return nil, err
	}
	opened.add(d.Close)
	keeper := o.Store.Keep(o.Kept, o.Rescue.Go)
	opened.add(keeper.Close)
	keeper.Set(o.Settings)
	l := newLine(o.System, w, o.Rescue.Go)
	opened.add(func() error { l.Stop(); return nil })
	o.Rescue.Add(d.Close)
	o.Rescue.Add(keeper.Close)
	preset, err := o.Store.Presets.Load(o.Settings.Preset)
	if err != nil { // it was deleted, or can't be read: the list of presets says so
		preset = presets.Preset{}
	}
	r := New(&Parts{Engine: s, Recorder: d, Sound: w, Line: l, Check: func(who ...int) Checker { return guided.Begin(s, who...) }, Go: o.Rescue.Go,
		Store: o.Store, Keeper: keeper, Settings: o.Settings, Camera: o.Camera, Preset: preset,
		Inputs: func() ([]Device, error) {
			found, err := o.System.Inputs()
			return devices(found, err, presets.Output{})
		},
		Outputs: func() ([]Device, error) {
			found, err := o.System.Outputs()
			return devices(found, err, presets.Output{})
		},
		Switch:  switcher(o.System, s, d, o.Warn),
		Stand:   func(open session.Opener) error { return standIn(s, d, open, capture.Auto) },
		Battery: power.Read, Now: time.Now})
	r.opened = opened
	r.follow(o.Rescue.Go)
	return r, nil
}

// hear opens the input.
func (o *Options) hear(ctx context.Context) (*session.Session, error) {
	s, err := o.Input.openSession(ctx, o.System, o.session(), o.Warn)
	if err != nil || o.Fits == nil {
		return s, err
	}
	if err := o.Fits(s.Format().Channels); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// session is what the session starts with besides the input.
func (o *Options) session() session.Options {
	view := o.Settings.View
	view.Camera = o.Camera.Scale
	return session.Options{Strips: o.Settings.Strips, View: view, Go: o.Rescue.Go}
}

// noteInput lets the settings hold the input that was opened.
func noteInput(s *session.Session, o *Options) {
	o.Settings.Input, o.Settings.Channels = o.Input.Choice, string(o.Input.Pick)
	if status := s.Status(); status.Kind == capture.Device {
		o.Settings.InputName, o.Settings.InputTwin = status.Source, status.Mark != ""
	}
}

// openOutputs opens the outputs asked for, else those of last time, and lets
// the settings hold them.
func openOutputs(w *ways, o *Options) error {
	kept := [2]*presets.Output{&o.Settings.Headphones, &o.Settings.CameraOutput}
	var wrong error
	for place, asked := range o.Outputs {
		was := kept[place]
		switch asked {
		case OutputOff:
			*was = presets.Output{}
		case "":
			if was.Name == "" {
				continue
			}
			if err := w.useKept(Place(place), *was); err != nil {
				o.Warn(fmt.Errorf("%w; choose it in Setup once it is there", err))
			}
		default:
			wrong = errors.Join(wrong, w.Use(Place(place), asked))
			if status, open := w.Status(Place(place)); open {
				*was = status.Device
			}
		}
	}
	return wrong
}

// switcher changes to another input while all runs. What was heard of the one
// before does not go into the next take.
func switcher(system *device.System, s *session.Session, d *deck.Deck, warn func(error)) func(input, channels string) error {
	return func(input, channels string) error {
		pick, err := capture.ParsePick(channels)
		if err != nil {
			return err
		}
		return standIn(s, d, (Input{Choice: input}).opener(context.Background(), system, warn), pick)
	}
}

func standIn(s *session.Session, d *deck.Deck, open session.Opener, pick capture.Pick) error {
	if err := s.Switch(open, pick); err != nil {
		return err
	}
	return d.Forget()
}

// CloseTake ends a take that rolls, and the recording. It waits for the disk.
// Any call after the first does nothing.
func (r *Rig) CloseTake() error {
	if d, ok := r.parts.Recorder.(*deck.Deck); ok {
		return d.Close()
	}
	return nil
}

// Close ends everything that Open opened, the last first. Only the first call
// does something.
func (r *Rig) Close() error {
	r.mu.Lock()
	opened := r.opened
	r.opened = nil
	r.mu.Unlock()
	return opened.close()
}

// closers is what is to be closed.
type closers []func() error

func (c *closers) add(f func() error) { *c = append(*c, f) }

func (c closers) close() (err error) {
	for i := len(c) - 1; i >= 0; i-- {
		err = errors.Join(err, c[i]())
	}
	return err
}
