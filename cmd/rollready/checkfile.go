package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/demo"
	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/rig"
	"rollready/dsp/preroll"
)

// heard can be read again from any place.
type heard interface {
	Format() capture.Format
	Frames() int64
	Read(block []float32) (frames int, err error)
	SeekTo(frame int64) error
	Close() error
}

// demoSeconds is how much of the demo scene is judged: nobody can ask it to be
// quiet.
const demoSeconds = 30

// demoRecording is the beginning of the demo scene.
type demoRecording struct {
	scene *demo.Scene
	left  int
}

func newDemoRecording() *demoRecording {
	return &demoRecording{demo.NewScene(rig.DemoRateHz), demoSeconds * rig.DemoRateHz}
}

func (d *demoRecording) Format() capture.Format {
	return capture.Format{RateHz: rig.DemoRateHz, Channels: 2}
}
func (d *demoRecording) Frames() int64 { return demoSeconds * rig.DemoRateHz }
func (d *demoRecording) Close() error  { return nil }

func (d *demoRecording) Read(block []float32) (int, error) {
	frames := min(d.left, len(block)/2)
	if frames == 0 {
		return 0, io.EOF
	}
	d.scene.Read(block[:2*frames])
	d.left -= frames
	return frames, nil
}

// SeekTo begins anew and listens past what comes before.
func (d *demoRecording) SeekTo(frame int64) error {
	*d = *newDemoRecording()
	block := make([]float32, 2*4096)
	for frame > 0 {
		n, err := d.Read(block[:2*min(frame, 4096)])
		if err != nil {
			return err
		}
		frame -= int64(n)
	}
	return nil
}

// open opens what is to be read.
func (c *checking) open(ctx context.Context) (heard, error) {
	if c.input.Choice == rig.DemoInput {
		return newDemoRecording(), nil
	}
	return recording.Open(ctx, c.input.Path())
}

// name is what a person calls the recording.
func (c *checking) name() string {
	if c.input.Choice == rig.DemoInput {
		return "demo scene"
	}
	return filepath.Base(c.input.Path())
}

// choose takes the raw tracks of a take, and of other recordings with more than
// two channels none unasked: they are no pair.
func (c *checking) choose(r recording.Reader) error {
	if c.input.Pick != capture.Auto {
		return nil
	}
	choice, err := offline.Choose(r, "")
	if err == nil && len(choice.Picks) > 1 {
		err = fmt.Errorf("%s has %d channels: say which hold the voice, as in --channels 3 or --channels 1+2", c.name(), r.Format().Channels)
	}
	if err != nil {
		return err
	}
	if c.input.Pick = choice.Picks[0]; c.input.Pick != capture.Auto {
		fmt.Fprintln(c.app.stderr, "rollready: checks", choice.Words)
	}
	return nil
}

// file checks a recording: room tone and voice where they are said to be, or
// where they are found.
func (c *checking) file(ctx context.Context, room, voice span) (preroll.Result, error) {
	none := preroll.Result{}
	file, err := c.open(ctx)
	if err != nil {
		return none, err
	}
	defer file.Close()
	if r, ok := file.(recording.Reader); ok {
		if err := c.choose(r); err != nil {
			return none, err
		}
	}
	picker, err := capture.NewPicker(c.input.Pick, file.Format().Channels)
	if err != nil {
		return none, err
	}
	format := capture.Format{RateHz: file.Format().RateHz, Channels: picker.Channels()}
	frames := file.Frames()
	rate := float64(format.RateHz)
	inRoom := preroll.Range{Start: int64(room.start * rate), End: int64(room.end * rate)}
	inVoice := preroll.Range{Start: int64(voice.start * rate), End: int64(voice.end * rate)}
	name := c.name()
	if voice == (span{}) {
		if inRoom, inVoice, err = c.find(ctx, file, format); err != nil {
			return none, fmt.Errorf("%s: %w: record some seconds of quiet, or give --room-tone and --voice", name, err)
		}
	} else if last := max(inRoom.End, inVoice.End); frames > 0 && last > frames+int64(rate) { // a rounded end is no mistake
		return none, fmt.Errorf("%s lasts %.1f s, not %.1f s: give stretches that lie in it", name, float64(frames)/rate, float64(last)/rate)
	}
	check := preroll.New(format.RateHz, format.Channels, c.setup)
	for _, part := range []struct {
		where preroll.Range
		to    func([]float32)
	}{{inRoom, check.RoomTone}, {inVoice, check.Voice}} {
		if err := c.read(ctx, file, part.where, part.to); err != nil {
			return none, err
		}
	}
	result, err := check.Result()
	if err != nil {
		return none, fmt.Errorf("%s: %w", name, err)
	}
	return result, nil
}

// find looks through the whole file for room tone and voice.
func (c *checking) find(ctx context.Context, file heard, format capture.Format) (room, voice preroll.Range, err error) {
	parts := preroll.NewParts(format.RateHz, format.Channels)
	if err := c.read(ctx, file, preroll.Range{End: 1 << 62}, parts.Process); err != nil {
		return room, voice, err
	}
	return parts.Find()
}

// read hands on the picked channels of a stretch of the file.
func (c *checking) read(ctx context.Context, file heard, where preroll.Range, to func([]float32)) error {
	channels := file.Format().Channels
	picker, err := capture.NewPicker(c.input.Pick, channels)
	if err != nil {
		return err
	}
	start := where.Start
	if frames := file.Frames(); frames > 0 { // a rounded place may lie just behind the end
		start = min(start, frames)
	}
	if err := file.SeekTo(start); err != nil {
		return err
	}
	const frames = 4096
	raw, picked := make([]float32, frames*channels), make([]float32, frames*picker.Channels())
	for left := where.End - where.Start; left > 0; {
		n, err := file.Read(raw[:min(frames, left)*int64(channels)])
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err := errors.Join(err, ctx.Err()); err != nil {
			return err
		}
		left -= int64(n)
		block := picker.Copy(picked, raw[:n*channels])
		capture.Sanitise(block)
		to(block)
	}
	return nil
}
