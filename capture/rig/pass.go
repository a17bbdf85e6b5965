package rig

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/strips"
)

// Pass reads a file the way a live input goes, as fast as it can be read: the
// same chain, meters and judgement. One goroutine uses it.
type Pass struct {
	rig    *Rig
	file   recording.Reader
	run    *offline.Run
	meter  *dsp.Meter
	format capture.Format // as picked
	engine passage
	tenth  int // frames of a tenth of a second
}

// OpenPass opens the file of an input. Of the options it takes Settings,
// Camera, Input and Warn. Close it.
func OpenPass(ctx context.Context, o Options) (*Pass, error) {
	path := o.Input.Path()
	file, err := recording.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	o.Warn(recording.CutShort(path, file))
	o.Warn(unheard(o.Input, file))
	run, err := offline.New(file, o.Input.Pick, o.Settings.Strips)
	if err == nil && o.Fits != nil {
		err = o.Fits(run.Format().Channels)
	}
	if err != nil {
		return nil, errors.Join(err, file.Close())
	}
	view := o.Settings.View
	view.Camera = o.Camera.Scale
	p := &Pass{file: file, run: run, format: run.Format()}
	p.tenth = max(1, p.format.RateHz/10)
	p.meter = dsp.NewMeter(p.format.RateHz, p.format.Channels, view)
	p.engine.status = session.Status{Source: filepath.Base(path), Kind: capture.File, SourceHz: p.format.RateHz, Channels: file.Format().Channels, Picked: run.Picked()}
	heard := o.Settings.Strips.Fit(p.format.Channels)
	p.meter.ComparePeople(heard.Parted())
	p.engine.reading = p.meter.Reading()
	p.rig = newDeaf(&p.engine, noRecorder{}, o)
	return p, nil
}

// RateHz is the file's sample rate.
func (p *Pass) RateHz() int { return p.format.RateHz }

// Next reads so many frames on and gives the state then, and how many there
// were; ended tells that the file has no more.
func (p *Pass) Next(frames int) (s State, read int, ended bool, err error) {
	for read < frames && !ended {
		in, out, fed, err := p.run.Next(min(p.tenth, frames-read))
		if err != nil && !errors.Is(err, io.EOF) {
			return s, read, false, err
		}
		p.meter.Process(in, out, fed)
		read += len(in) / p.format.Channels
		ended = err != nil
		p.engine.reading, p.engine.status.Ended, p.engine.status.Sanitised = p.meter.Reading(), ended, p.run.Sanitised
		s = p.rig.State()
	}
	return s, read, ended, nil
}

// Close closes the file.
func (p *Pass) Close() error { return p.file.Close() }

// passage is an engine that is handed its readings.
type passage struct {
	reading dsp.Reading
	status  session.Status
}

func (p *passage) Reading() dsp.Reading       { return p.reading }
func (p *passage) Status() session.Status     { return p.status }
func (p *passage) SetStrips(strips.Settings)  {}
func (p *passage) SetView(dsp.View)           {}
func (p *passage) ResetHolds()                {}
func (p *passage) Follow(int) <-chan struct{} { return nil }
