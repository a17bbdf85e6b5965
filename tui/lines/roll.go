package lines

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"rollready/capture/rig"
	"rollready/capture/take"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

// rolling is a take under way.
type rolling struct {
	out      io.Writer
	rig      *rig.Rig
	paths    []string // of the takes so far
	told     map[verdict.Code]bool
	terminal bool
	line     string // kept on the terminal, "" if none
}

// Roll tells of a take that rolls until it ends or the context does, ends it,
// and gives all there were: where the input comes to deliver another format,
// there are several.
func Roll(ctx context.Context, r *rig.Rig, out io.Writer) ([]take.Found, error) {
	w := rolling{out: out, rig: r, terminal: IsTerminal(out)}
	w.until(ctx)
	return w.finish()
}

// pollEvery is how often a take under way is looked at.
const pollEvery = 50 * time.Millisecond

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
		s := w.rig.State()
		w.tell(s.Rec)
		if !s.Rec.Rolling || s.Status.Ended {
			return
		}
	}
}

// tell prints an alarm once, when it comes up, and on a terminal keeps a line
// that says that it rolls.
func (w *rolling) tell(s take.Status) {
	w.announce(s)
	line := fmt.Sprintf("REC %d:%02d, %s", int(s.Elapsed.Minutes()), int(s.Elapsed.Seconds())%60, s.DiskWords())
	if w.terminal && line != w.line {
		fmt.Fprintf(w.out, "\r%s\x1b[K", line)
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

// announce names a take that began.
func (w *rolling) announce(s take.Status) {
	if s.Take.Path == "" || slices.Contains(w.paths, s.Take.Path) {
		return
	}
	w.paths = append(w.paths, s.Take.Path)
	w.say("rollready: REC %s in %s; %s\n", plain.Text(s.Take.Title()), plain.Text(s.Take.Path), s.DiskWords())
}

// say prints a line of its own, above the one that is kept.
func (w *rolling) say(format string, args ...any) {
	if w.line != "" {
		fmt.Fprint(w.out, "\r\x1b[K")
		w.line = ""
	}
	fmt.Fprintf(w.out, format, args...)
}

// finish ends the take, if it has not ended by itself, and gives all there were.
func (w *rolling) finish() (found []take.Found, err error) {
	w.say("")
	last, err := w.rig.Stop()
	now := w.rig.State().Rec
	err = cmp.Or(err, now.Problem) // it ended by itself, because it could not go on
	w.announce(now)
	for _, path := range w.paths {
		t := last
		if path != last.Path {
			var errLoad error
			t, errLoad = take.Load(path)
			err = errors.Join(err, errLoad)
		}
		found = append(found, take.Found{Take: t})
	}
	return found, err
}
