package main

import (
	"context"
	"fmt"
	"time"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/plain"
)

// live prints what a session reads, in time with the clock on the wall: an
// input that stopped must not stop the lines.
func (w *watching) live(ctx context.Context) error {
	system := device.NewSystem(nil)
	defer system.Close()
	s, err := w.input.OpenSession(system, session.Options{Chain: w.chain, View: w.view}, w.app.warn)
	if err != nil {
		return err
	}
	defer s.Close()
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
		status := s.Status() // before the reading: once ended, that is the last
		reading := s.Reading()
		w.tell(before, status)
		before = status
		if reading.Frames > printed || !status.Ended {
			printed = reading.Frames
			if err := w.print(reading, status); err != nil {
				return err
			}
		}
		over := w.flags.seconds > 0 && time.Since(begun).Seconds() >= w.flags.seconds
		if status.Ended || over {
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
		fmt.Fprintf(w.app.stderr, "rollready: INPUT LOST: %s delivers nothing; looking for it\n", plain.Text(now.Source))
	case before.Lost && !now.Lost:
		fmt.Fprintf(w.app.stderr, "rollready: %s is back\n", plain.Text(now.Source))
	}
}

// reportSanitised tells of samples that were no numbers.
func (w *watching) reportSanitised(samples int64) {
	if samples > 0 {
		w.app.warn(fmt.Errorf("%d samples were not finite numbers and count as silence", samples))
	}
}

// print writes one line.
func (w *watching) print(r dsp.Reading, s session.Status) error {
	if w.flags.json {
		return printJSON(w.app.stdout, newWatchLine(r, s))
	}
	_, err := fmt.Fprintln(w.app.stdout, watchText(r, s.Kind == capture.Demo))
	return err
}
