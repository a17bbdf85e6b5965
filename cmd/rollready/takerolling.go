package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/mattn/go-isatty"

	"rollready/capture/power"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/dsp/verdict"
)

// rolling is a take under way.
type rolling struct {
	app      *app
	session  *session.Session
	recorder *take.Recorder
	dropouts int64
	told     map[verdict.Code]bool
	looked   time.Time // at the battery
	terminal bool
	line     string // kept on the terminal, "" if none
}

// pollEvery is how often a take under way is looked at.
const pollEvery = 50 * time.Millisecond

// listen waits for the first frames, and for those that go before the take.
func (w *rolling) listen(ctx context.Context, before time.Duration) error {
	begun := time.Now()
	tick := time.NewTicker(pollEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return errors.New("interrupted before the take began; nothing was recorded")
		case <-tick.C:
		}
		rs, ss := w.recorder.Status(), w.session.Status()
		if rs.Fed > 0 && (rs.Kept+pollEvery >= before || ss.Ended) {
			return nil
		}
		if rs.Fed == 0 && time.Since(begun) > 10*time.Second {
			return fmt.Errorf("%s delivers no sound: see rollready devices, or unplug it and plug it in again", ss.Source)
		}
	}
}

// until waits for the end of the take and tells of alarms meanwhile.
func (w *rolling) until(ctx context.Context) {
	tick := time.NewTicker(pollEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		ss := w.session.Status()
		w.passOn(ss)
		rs := w.recorder.Status()
		w.tell(rs)
		if !rs.Rolling || ss.Ended {
			return
		}
	}
}

// passOn gives the recorder what it can't know by itself.
func (w *rolling) passOn(s session.Status) {
	if s.Dropouts > w.dropouts {
		w.recorder.Dropped(s.Dropouts - w.dropouts)
		w.dropouts = s.Dropouts
	}
	if time.Since(w.looked) > 10*time.Second {
		w.looked = time.Now()
		b := power.Read()
		w.recorder.Battery(b.Percent, b.State != power.Draining)
	}
}

// tell prints an alarm once, when it comes up, and on a terminal keeps a line
// that says that it rolls.
func (w *rolling) tell(s take.Status) {
	line := fmt.Sprintf("REC %d:%02d, %s", int(s.Elapsed.Minutes()), int(s.Elapsed.Seconds())%60, diskWords(s))
	if w.terminal && line != w.line {
		fmt.Fprintf(w.app.stderr, "\r%s\x1b[K", line)
		w.line = line
	}
	now := map[verdict.Code]bool{}
	for _, alarm := range s.Alarms {
		now[alarm.Kind] = true
		if !w.told[alarm.Kind] {
			w.say("rollready: ALARM %s: %s\n", alarm.Kind, alarm.Text)
		}
	}
	w.told = now
}

// say prints a line of its own, above the one that is kept.
func (w *rolling) say(format string, args ...any) {
	if w.line != "" {
		fmt.Fprint(w.app.stderr, "\r\x1b[K")
		w.line = ""
	}
	fmt.Fprintf(w.app.stderr, format, args...)
}

// finish ends the take, if it has not ended by itself, and gives it.
func (w *rolling) finish() (take.Take, error) {
	w.say("")
	t, err := w.recorder.Stop()
	if errors.Is(err, take.ErrNotRolling) { // it ended by itself, as asked
		err = nil
	}
	return t, errors.Join(err, w.recorder.Close())
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}

func diskWords(s take.Status) string {
	if s.DiskLeft < 0 {
		return "room on the disk unknown"
	}
	minutes := int(s.DiskLeft.Minutes())
	return fmt.Sprintf("room on the disk for %d h %d min", minutes/60, minutes%60)
}
