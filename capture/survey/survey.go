package survey

import (
	"context"
	"errors"
	"fmt"

	"rollready/capture/media"
	"rollready/dsp/figure"
	"rollready/dsp/truepeak"
)

// File measures one recording. progress is told the share read so far, 0 … 1;
// nil if nobody wants to know. The error is one line that names the file.
func File(ctx context.Context, path string, progress func(share float64)) (Result, error) {
	r, err := media.Open(path)
	if err != nil {
		return Result{}, err
	}
	defer r.Close()
	if progress == nil {
		progress = func(float64) {}
	}
	result, err := measure(ctx, r, progress)
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
	frames, err := pipe(ctx, r, stages, func(frames int64) { progress(float64(frames) / float64(max(frames, r.Frames()))) })
	if err != nil {
		return result, err
	}
	if frames == 0 {
		return result, errors.New("there is no sound in it")
	}
	result.DurationS = figure.Figure(float64(frames) / float64(format.RateHz))
	for _, s := range stages {
		s.finish(&result)
	}
	result.Findings = found.judge(&result)
	return result, nil
}

// newStages lists the costliest first: they set the pace.
func newStages(rateHz, channels int, found *facts) []stage {
	return []stage{
		newThird(rateHz, channels),
		newLevels(rateHz, channels, found),
		peaks{truepeak.New(rateHz, channels), channels},
		newLow(rateHz, channels, found),
		newRoom(rateHz, channels, found),
		newLoud(rateHz, channels),
	}
}
