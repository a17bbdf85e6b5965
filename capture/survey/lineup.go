package survey

import (
	"context"
	"errors"
	"fmt"

	"rollready/capture/recording"
	"rollready/capture/track"
	"rollready/dsp/match"
)

// listened is a recording to be lined up with another.
type listened struct {
	sound *recording.Anywhere
	print match.Print
	side  match.Recording
}

// lineUp finds how the second of two recordings, as the clip, lies in the
// first, as the take: by their prints, then by their waves.
func lineUp(ctx context.Context, paths [2]string, progress func(float64)) (fit match.Fit, lengths [2]float64, rates [2]int, err error) {
	var two [2]listened
	for i, path := range paths {
		if err := two[i].open(ctx, path); err != nil {
			return fit, lengths, rates, err
		}
		defer two[i].sound.Close()
		lengths[i], rates[i] = two[i].side.Seconds, two[i].sound.Format().RateHz
		progress(float64(i+1) / 4)
	}
	fit, ok, err := match.Lay(two[1].print, two[0].print, two[1].side, two[0].side)
	switch {
	case ctx.Err() != nil:
		err = ctx.Err()
	case err != nil:
		err = fmt.Errorf("compare %s: %w", paths[1], err)
	case !ok:
		err = errors.New("no common sound found: these are not two recordings of the same take, or one is too short")
	}
	progress(1)
	return fit, lengths, rates, err
}

// open prints the tracks of a recording that are compared, and opens it again
// for its waves.
func (h *listened) open(ctx context.Context, path string) error {
	r, err := recording.Open(ctx, path)
	if err != nil {
		return err
	}
	f, from := r.Format(), track.Groups(tracksIn(r, path))[0].Channels
	printer := match.NewPrinter(f.RateHz, len(from))
	frames, err := pipe(ctx, r, []stage{pick(from, f.Channels, feeder{printer.Process})}, func(int64) {})
	if err != nil {
		return errors.Join(fmt.Errorf("read %s: %w", path, err), r.Close())
	}
	h.print, h.sound = printer.Print(), recording.NewAnywhere(r, frames)
	h.side = match.Recording{Seconds: float64(frames) / float64(f.RateHz), Active: match.Activity(h.print),
		Sound: match.NewWaves(f.RateHz, h.sound.Channel(from[h.print.Channel]))}
	return nil
}

// feeder is a stage that finds nothing of its own.
type feeder struct{ to func([]float32) }

func (f feeder) process(block []float32) { f.to(block) }
func (f feeder) finish(*Result)          {}
