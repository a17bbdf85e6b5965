package guided

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rollready/capture"
	"rollready/capture/demo"
	"rollready/dsp/preroll"
)

// Recording is sound that can be read again from any place.
type Recording interface {
	Format() capture.Format
	Frames() int64
	Read(block []float32) (frames int, err error)
	SeekTo(frame int64) error
	Close() error
}

// demoSeconds is how much of the demo scene is judged: nobody can ask it to be
// quiet.
const (
	demoSeconds = 30
	demoRateHz  = 48000
)

// Demo is the beginning of the demo scene.
func Demo() Recording { return newDemoRecording() }

// demoRecording is the beginning of the demo scene.
type demoRecording struct {
	scene *demo.Scene
	left  int
}

func newDemoRecording() *demoRecording {
	return &demoRecording{demo.NewScene(demoRateHz), demoSeconds * demoRateHz}
}

func (d *demoRecording) Format() capture.Format {
	return capture.Format{RateHz: demoRateHz, Channels: 2}
}
func (d *demoRecording) Frames() int64 { return demoSeconds * demoRateHz }
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

// Span is a stretch of a recording in seconds.
type Span struct{ Start, End float64 }

// Recorded checks a recording without a guide: room tone and voice where they
// are said to be, or, where both spans are zero, where they are found. name is
// what a person calls it.
func Recorded(ctx context.Context, name string, from Recording, pick capture.Pick, setup Setup, room, voice Span) (none preroll.Result, err error) {
	picker, err := capture.NewPicker(pick, from.Format().Channels)
	if err != nil {
		return none, err
	}
	c := recorded{Recording: from, picker: picker}
	format := capture.Format{RateHz: from.Format().RateHz, Channels: picker.Channels()}
	rate := float64(format.RateHz)
	inRoom, inVoice := room.at(rate), voice.at(rate)
	frames := from.Frames()
	if voice == (Span{}) {
		if inRoom, inVoice, err = c.find(ctx, format); err != nil {
			return none, fmt.Errorf("%s: %w: record some seconds of quiet, or give --room-tone and --voice", name, err)
		}
	} else if last := max(inRoom.End, inVoice.End); frames > 0 && last > frames+int64(rate) { // a rounded end is no mistake
		return none, fmt.Errorf("%s lasts %.1f s, not %.1f s: give stretches that lie in it", name, float64(frames)/rate, float64(last)/rate)
	}
	check := preroll.New(format.RateHz, format.Channels, setup)
	if err := errors.Join(c.read(ctx, inRoom, check.RoomTone), c.read(ctx, inVoice, check.Voice)); err != nil {
		return none, err
	}
	result, err := check.Result()
	if err != nil {
		return none, fmt.Errorf("%s: %w", name, err)
	}
	return result, nil
}

func (s Span) at(rate float64) preroll.Range {
	return preroll.Range{Start: int64(s.Start * rate), End: int64(s.End * rate)}
}

// recorded is a recording and what is picked of it.
type recorded struct {
	Recording
	picker *capture.Picker
}

// find looks through the whole file for room tone and voice.
func (c recorded) find(ctx context.Context, format capture.Format) (room, voice preroll.Range, err error) {
	parts := preroll.NewParts(format.RateHz, format.Channels)
	if err := c.read(ctx, preroll.Range{End: 1 << 62}, parts.Process); err != nil {
		return room, voice, err
	}
	return parts.Find()
}

// read hands on the picked channels of a stretch of the file.
func (c recorded) read(ctx context.Context, where preroll.Range, to func([]float32)) error {
	start := where.Start
	if frames := c.Frames(); frames > 0 { // a rounded place may lie just behind the end
		start = min(start, frames)
	}
	if err := c.SeekTo(start); err != nil {
		return err
	}
	const frames = 4096
	channels := c.Format().Channels
	raw, picked := make([]float32, frames*channels), make([]float32, frames*c.picker.Channels())
	for left := where.End - where.Start; left > 0; {
		n, err := c.Read(raw[:min(frames, left)*int64(channels)])
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err := errors.Join(err, ctx.Err()); err != nil {
			return err
		}
		left -= int64(n)
		block := c.picker.Copy(picked, raw[:n*channels])
		capture.Sanitise(block)
		to(block)
	}
	return nil
}
