package main

import (
	"context"
	"errors"
	"io"
	"math"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/rig"
	"rollready/capture/rig/session"
	"rollready/dsp"
)

// offline prints what the same chain and meters read from a file, as fast as
// it can be read.
func (w *watching) offline(ctx context.Context) error {
	file, err := recording.Open(ctx, w.input.Path())
	if err != nil {
		return err
	}
	defer file.Close()
	w.app.warn(rig.CutShort(w.input.Path(), file))
	run, err := offline.New(file, w.input.Pick, w.chain)
	if err != nil {
		return err
	}
	defer func() { w.reportSanitised(run.Sanitised) }()
	format := run.Format()
	meter := dsp.NewMeter(format.RateHz, format.Channels, w.view)
	status := session.Status{Source: filepath.Base(w.input.Path()), Kind: capture.File,
		SourceHz: format.RateHz, Channels: file.Format().Channels}
	every, last := float64(format.RateHz)/w.flags.rate, w.lastFrame(format.RateHz)
	var at, printed int64
	for line := 1.0; ctx.Err() == nil; {
		due := min(int64(math.Round(line*every)), last)
		in, out, err := run.Next(int(due - at))
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		meter.Process(in, out)
		at += int64(len(in) / format.Channels)
		ended := err != nil || at == last
		if at < due && !ended {
			continue
		}
		if at > printed {
			printed, line = at, line+1
			status.Ended = ended
			if err := w.print(meter.Reading(), status); err != nil {
				return err
			}
		}
		if ended {
			return nil
		}
	}
	return nil
}

// lastFrame is where --seconds stops.
func (w *watching) lastFrame(rateHz int) int64 {
	if w.flags.seconds == 0 {
		return math.MaxInt64
	}
	return int64(math.Round(min(w.flags.seconds*float64(rateHz), 1<<62)))
}
