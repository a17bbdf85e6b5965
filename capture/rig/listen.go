package rig

import (
	"context"
	"errors"
	"time"

	"rollready/capture/power"
	"rollready/capture/rig/deck"
	"rollready/capture/rig/guided"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/earcon"
	"rollready/dsp/strips"
	"rollready/presets"
)

// Listen opens a rig that only reads an input: no ways out, no recorder, and
// nothing is kept. Of the options it takes System, Rescue, Settings, Camera and
// Input. It may take seconds, but no longer than the context lives.
func Listen(ctx context.Context, o Options) (*Rig, error) {
	return listen(ctx, o, func(*session.Session) (Recorder, error) { return noRecorder{}, nil })
}

// Record opens a rig that listens and records. No other input takes the place of
// one that is not there: a take of the demo scene would be found out too late.
// A file is played from when a take rolls.
func Record(ctx context.Context, o Options) (*Rig, error) {
	var play func()
	o.Input.Fallback, o.Input.hold = false, func(start func()) { play = start }
	r, err := listen(ctx, o, func(s *session.Session) (Recorder, error) {
		d, err := deck.Open(s, o.Settings.Recording, o.Camera.Scale, power.Read)
		if err == nil {
			o.Rescue.Add(d.Close)
		}
		return d, err
	})
	if err != nil {
		return nil, err
	}
	r.play = play
	return r, nil
}

func listen(ctx context.Context, o Options, recorder func(*session.Session) (Recorder, error)) (*Rig, error) {
	s, err := o.hear(ctx)
	if err != nil {
		return nil, err
	}
	records, err := recorder(s)
	if err != nil {
		s.Close()
		return nil, err
	}
	r := newDeaf(s, records, o)
	r.parts.Check = func(who ...int) Checker { return guided.Begin(s, who...) }
	r.opened = closers{func() error { s.Close(); return nil }, r.CloseTake}
	r.follow(o.Rescue.Go)
	return r, nil
}

func newDeaf(e Engine, records Recorder, o Options) *Rig {
	return New(&Parts{Engine: e, Recorder: records, Sound: noSound{}, Deaf: true,
		Settings: o.Settings, Camera: o.Camera, Battery: power.Read, Now: time.Now})
}

// lookEvery is how often the rig looks by itself, whether a face does or not.
const lookEvery = 250 * time.Millisecond

// follow lets the rig judge what comes while no face asks, and do what is due.
func (r *Rig) follow(start func(f func())) {
	quit, ended := make(chan struct{}), make(chan struct{})
	start(func() {
		defer close(ended)
		tick := time.NewTicker(lookEvery)
		defer tick.Stop()
		for {
			select {
			case <-quit:
				return
			case <-tick.C:
				s := r.State()
				r.tend(&s)
			}
		}
	})
	r.opened.add(func() error { close(quit); <-ended; return nil })
}

var errListens = errors.New("only the input is read here")

// noSound stands where there are no ways out.
type noSound struct{}

func (noSound) Status(Place) (output.Status, bool)                       { return output.Status{}, false }
func (noSound) SetMute(bool)                                             {}
func (noSound) SetLevel(float64)                                         {}
func (noSound) Hear(output.Source)                                       {}
func (noSound) Earcon(earcon.Kind)                                       {}
func (noSound) Compare(strips.Settings, strips.Settings, dsp.View) Bench { return nil }
func (noSound) Use(Place, string) error                                  { return errListens }

// noRecorder stands where nothing is recorded.
type noRecorder struct{}

func (noRecorder) Status() take.Status                                { return take.Status{DiskLeft: -1} }
func (noRecorder) Here() int64                                        { return 0 }
func (noRecorder) MarkAt(int64, string)                               {}
func (noRecorder) Note(string)                                        {}
func (noRecorder) Slate()                                             {}
func (noRecorder) SetCamera(camera.Scale)                             {}
func (noRecorder) Folder() string                                     { return "" }
func (noRecorder) Roll(take.What) (take.Take, error)                  { return take.Take{}, errListens }
func (noRecorder) Stop() (take.Take, error)                           { return take.Take{}, take.ErrNotRolling }
func (noRecorder) Set(presets.Recording) error                        { return errListens }
func (noRecorder) Next(string) int                                    { return 0 }
func (noRecorder) Takes() ([]take.Found, error)                       { return nil, nil }
func (noRecorder) Mend() ([]take.Recovered, error)                    { return nil, nil }
func (noRecorder) Change(string, func(*take.Take)) (take.Take, error) { return take.Take{}, errListens }
func (noRecorder) Delete(string) (take.Deleted, error)                { return take.Deleted{}, errListens }
func (noRecorder) Undo(take.Deleted) error                            { return errListens }
func (noRecorder) Report(time.Time) (string, error)                   { return "", errListens }
