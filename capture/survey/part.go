package survey

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rollready/capture/media"
	"rollready/dsp/figure"
)

// span is a part of a recording in frames; the zero span is all of it.
type span struct{ from, frames int64 }

// part reads a span of a recording.
type part struct {
	media.Reader
	skip, left int64 // frames; left < 0: to the end
}

func newPart(r media.Reader, s span) media.Reader {
	if s == (span{}) {
		return r
	}
	return &part{Reader: r, skip: s.from, left: s.frames}
}

// Frames is the length of the part.
func (p *part) Frames() int64 { return p.left }

// Read passes over what comes before, and ends where the part does.
func (p *part) Read(block []float32) (int, error) {
	channels := int64(p.Format().Channels)
	for p.skip > 0 {
		n, err := p.Reader.Read(block[:min(int64(len(block)), p.skip*channels)])
		if err != nil {
			return 0, err
		}
		p.skip -= int64(n)
	}
	if p.left == 0 {
		return 0, io.EOF
	}
	n, err := p.Reader.Read(block[:min(int64(len(block)), p.left*channels)])
	p.left -= int64(n)
	return n, err
}

// File measures one recording. progress is told the share read so far, 0 … 1;
// nil if nobody wants to know. The error is one line that names the file.
func File(ctx context.Context, path string, progress func(share float64)) (Result, error) {
	return measureSpan(ctx, path, span{}, progress)
}

// measureSpan measures a part of a recording.
func measureSpan(ctx context.Context, path string, s span, progress func(share float64)) (Result, error) {
	r, err := media.Open(ctx, path)
	if err != nil {
		return Result{}, err
	}
	defer r.Close()
	if progress == nil {
		progress = func(float64) {}
	}
	result, err := measure(ctx, newPart(r, s), progress)
	result.Path, result.Truncated = path, r.Truncated()
	if err != nil {
		return Result{}, fmt.Errorf("read %s: %w", path, err)
	}
	return result, nil
}

func measure(ctx context.Context, r media.Reader, progress func(float64)) (Result, error) {
	format, found := r.Format(), &facts{}
	result := Result{SampleRateHz: format.RateHz, Channels: format.Channels}
	stages := newStages(format.RateHz, format.Channels, found)
	all := max(1, r.Frames())
	clean := &finite{Reader: r}
	frames, err := pipe(ctx, clean, stages, func(frames int64) { progress(min(1, float64(frames)/float64(all))) })
	if err != nil {
		return result, err
	}
	if frames == 0 {
		return result, errors.New("there is no sound in it")
	}
	result.DurationS = figure.Figure(float64(frames) / float64(format.RateHz))
	clean.finish(&result)
	for _, s := range stages {
		s.finish(&result)
	}
	result.Findings = found.judge(&result)
	return result, nil
}
