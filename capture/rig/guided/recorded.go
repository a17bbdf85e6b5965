package guided

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rollready/capture"
	"rollready/capture/demo"
	"rollready/dsp/preroll"
	"rollready/dsp/strips"
	"rollready/dsp/verdict"
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

// People tells who speaks into the channels that are heard, which of them, from 0,
// do so in turn, none: one voice is in all channels, and the settings with so many.
type People func(heard strips.Channels) (all []verdict.Person, turns []int, set strips.Settings)

// Recorded checks a recording without a guide: room tone and voices where they
// are said to be, one for each person that speaks in turn, or, where no voice is
// said, where they are found. name is what a person calls it.
func Recorded(ctx context.Context, name string, from Recording, pick capture.Pick, people People, setup Setup, room Span, voices ...Span) (none preroll.Result, err error) {
	picker, err := capture.NewPicker(pick, from.Format().Channels)
	if err != nil {
		return none, err
	}
	c := recorded{Recording: from, picker: picker, format: capture.Format{RateHz: from.Format().RateHz, Channels: picker.Channels()}}
	var set strips.Settings
	setup.People, c.turns, set = people(strips.ChannelsOf(picker.Channels(), picker.Sources()))
	setup.Muted, setup.Summed = set.AllMuted(), set.Summed()
	if asked := max(1, len(c.turns)); len(voices) > 0 && len(voices) != asked {
		return none, fmt.Errorf("stretches of --voice: %d, people who speak in turn: %d; give one for each, by commas", len(voices), asked)
	}
	inRoom, inVoices, err := c.places(ctx, name, room, voices)
	if err != nil {
		return none, err
	}
	result, err := c.judge(ctx, setup, len(voices) == 0, inRoom, inVoices)
	if errors.Is(err, preroll.ErrShort) {
		err = fmt.Errorf("%s: %w", name, err)
	}
	return result, err
}

// places are room and voices where they are said to be, or where they are found.
func (c recorded) places(ctx context.Context, name string, room Span, voices []Span) (inRoom preroll.Range, inVoices []preroll.Range, err error) {
	if len(voices) == 0 {
		if inRoom, inVoices, err = c.find(ctx); err != nil {
			return inRoom, nil, fmt.Errorf("%s: %w: %s", name, err, findHelp(err))
		}
		return inRoom, inVoices, nil
	}
	rate, frames := float64(c.format.RateHz), c.Frames()
	inRoom = room.at(rate)
	last := inRoom.End
	for _, v := range voices {
		inVoices = append(inVoices, v.at(rate))
		last = max(last, v.at(rate).End)
	}
	if frames > 0 && last > frames+int64(rate) { // a rounded end is no mistake
		return inRoom, nil, fmt.Errorf("%s lasts %.1f s, not %.1f s: give stretches that lie in it", name, float64(frames)/rate, float64(last)/rate)
	}
	return inRoom, inVoices, nil
}

func findHelp(err error) string {
	if errors.Is(err, preroll.ErrNoTurns) {
		return "let each speak in turn, or give --room, and --voice with a stretch for each by commas"
	}
	return "record some seconds of quiet, or give --room and --voice"
}

// whole is the end of every recording.
const whole = 1 << 62

// judge judges a voice in all channels, or each person in the own one; of one whose
// stretches were found, all of it.
func (c recorded) judge(ctx context.Context, setup Setup, found bool, room preroll.Range, voices []preroll.Range) (preroll.Result, error) {
	if c.turns == nil {
		check := preroll.New(c.format.RateHz, c.format.Channels, setup)
		if err := errors.Join(c.read(ctx, room, check.RoomTone), c.read(ctx, voices[0], check.Voice)); err != nil {
			return preroll.Result{}, err
		}
		if found {
			for _, rest := range preroll.Rest(whole, room, voices[0]) {
				if err := c.read(ctx, rest, check.Rest); err != nil {
					return preroll.Result{}, err
				}
			}
		}
		return check.Result()
	}
	t := preroll.Turns{RateHz: c.format.RateHz, Channels: c.format.Channels}
	err := c.read(ctx, room, keep(&t.Quiet))
	for i, channel := range c.turns {
		turn := preroll.Turn{Channel: channel}
		err = errors.Join(err, c.read(ctx, voices[i], keep(&turn.Frames)))
		t.Of = append(t.Of, turn)
	}
	if err != nil {
		return preroll.Result{}, err
	}
	return t.Result(setup)
}

func keep(to *[]float32) func([]float32) {
	return func(block []float32) { *to = append(*to, block...) }
}

func (s Span) at(rate float64) preroll.Range {
	return preroll.Range{Start: int64(s.Start * rate), End: int64(s.End * rate)}
}

// recorded is a recording, what is picked of it, and whose turns come.
type recorded struct {
	Recording
	picker *capture.Picker
	format capture.Format // as picked
	turns  []int
}

// find looks through the whole file for room tone and voices.
func (c recorded) find(ctx context.Context) (room preroll.Range, voices []preroll.Range, err error) {
	parts := preroll.NewParts(c.format.RateHz, c.format.Channels)
	if err := c.read(ctx, preroll.Range{End: whole}, parts.Process); err != nil {
		return room, nil, err
	}
	if c.turns != nil {
		return parts.FindTurns(c.turns)
	}
	room, voice, err := parts.Find()
	return room, []preroll.Range{voice}, err
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
