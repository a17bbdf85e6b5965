package main

import (
	"context"
	"math"

	"rollready/capture/rig"
)

// offline prints what the same chain and meters read from a file, as fast as
// it can be read.
func (w *watching) offline(ctx context.Context) error {
	pass, err := rig.OpenPass(ctx, w.Options)
	if err != nil {
		return err
	}
	defer pass.Close()
	var now rig.State
	defer func() { w.reportSanitised(now.Status.Sanitised) }()
	every, last := float64(pass.RateHz())/w.flags.rate, w.lastFrame(pass.RateHz())
	var at int64
	for line := 1.0; ctx.Err() == nil; line++ {
		due := min(int64(math.Round(line*every)), last)
		s, read, ended, err := pass.Next(int(due - at))
		if err != nil {
			return err
		}
		at += int64(read)
		ended = ended || at == last
		if read > 0 {
			now = s
			if err := w.print(now); err != nil {
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
