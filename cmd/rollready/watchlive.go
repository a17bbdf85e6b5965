package main

import (
	"context"
	"fmt"
	"time"

	"rollready/capture/rig"
	"rollready/capture/rig/readout"
	"rollready/capture/rig/session"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
)

// live prints what a session reads, in time with the clock on the wall: an
// input that stopped must not stop the lines.
func (w *watching) live(ctx context.Context, r *rig.Rig) error {
	begun := time.Now()
	tick := time.NewTicker(time.Duration(float64(time.Second) / w.flags.rate))
	defer tick.Stop()
	var before session.Status
	defer func() { w.reportSanitised(before.Sanitised) }()
	var printed int64
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
		now := r.State()
		w.tell(before, now.Status)
		before = now.Status
		begins := now.Reading.Frames > 0 || now.Dead() // before that there is nothing to read
		if now.Reading.Frames > printed || begins && !now.Status.Ended {
			printed = now.Reading.Frames
			if err := w.print(now); err != nil {
				return err
			}
		}
		over := w.flags.seconds > 0 && time.Since(begun).Seconds() >= w.flags.seconds
		if now.Status.Ended || over {
			return nil
		}
	}
}

// tell reports changes of the input on stderr, where they disturb no reader
// of the lines.
func (w *watching) tell(before, now session.Status) {
	if now.Notice != before.Notice && now.Notice != "" {
		fmt.Fprintln(w.app.stderr, "rollready:", plain.Text(now.Notice))
	}
	if now.Fault != before.Fault && now.Fault != "" {
		fmt.Fprintln(w.app.stderr, "rollready: metering has stopped by a mistake of the program's own:", now.Fault)
	}
	switch {
	case now.Lost && !before.Lost:
		fmt.Fprintf(w.app.stderr, "rollready: INPUT LOST: %s delivers nothing; looking for it\n", plain.Text(now.Called()))
	case before.Lost && !now.Lost:
		fmt.Fprintf(w.app.stderr, "rollready: %s is back\n", plain.Text(now.Called()))
	}
}

// reportSanitised tells of samples that were no numbers.
func (w *watching) reportSanitised(samples int64) {
	if samples > 0 {
		w.app.warn(fmt.Errorf("%d samples were not finite numbers and count as silence", samples))
	}
}

// print writes one line, with --changes only where it says something new.
func (w *watching) print(s rig.State) error {
	if w.flags.changes {
		words, key := readout.News(s)
		if key == w.said {
			return nil
		}
		w.said = key
		if !w.app.json {
			_, err := figure.Fprintf(w.app.stdout, "%.1f s: %s\n", readout.Seconds(s.Reading), words)
			return err
		}
	}
	if w.app.json {
		return w.app.printJSON(readout.Of(s))
	}
	_, err := fmt.Fprintln(w.app.stdout, readout.Text(s))
	return err
}
