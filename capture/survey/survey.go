package survey

import (
	"fmt"

	"rollready/capture/media"
	"rollready/dsp/figure"
	"rollready/dsp/truepeak"
)

// File measures one recording. progress is told the frames of each block read;
// nil if nobody wants to know. The error is one line that names the file.
func File(path string, progress func(frames int64)) (Result, error) {
	r, err := media.Open(path)
	if err != nil {
		return Result{}, err
	}
	defer r.Close()
	if progress == nil {
		progress = func(int64) {}
	}
	result, err := measure(r, progress)
	result.Path = path
	if err != nil {
		return Result{}, fmt.Errorf("read %s: %w", path, err)
	}
	return result, nil
}

func measure(r media.Reader, progress func(int64)) (Result, error) {
	format, found := r.Format(), &facts{}
	result := Result{SampleRateHz: format.RateHz, Channels: format.Channels}
	frames := int64(0)
	stages := newStages(format.RateHz, format.Channels, found)
	err := pipe(r, stages, func(n int64) {
		frames += n
		progress(n)
	})
	if err != nil {
		return result, err
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
