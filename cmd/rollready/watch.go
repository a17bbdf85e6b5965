package main

import (
	"context"
	"errors"
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
)

// watchFlags are those of the command watch.
type watchFlags struct {
	listenFlags
	seconds float64
	rate    float64
	fast    bool
	changes bool
}

// watching is a watch, ready to begin.
type watching struct {
	app   *app
	flags *watchFlags
	said  string // with --changes: the key of what was last printed
	rig.Options
}

func newWatch(a *app) *cobra.Command {
	f := &watchFlags{}
	cmd := &cobra.Command{
		Use:   "watch",
		Short: "Print levels as lines",
		Long: `Prints the readings of the monitor as lines of text or, with --json, one JSON
object a line. Input, channels, camera and chain that are not given are as last
set in the monitor; with any chain flag, the rest of the chain is off.

With --changes a line comes only when there is something new to say, as a screen
reader, a log or a simple terminal wants it; nothing is drawn anew.`,
		Example: `  rollready watch --seconds 10
  rollready watch --input lavalier --channels 1 --json --rate 10
  rollready watch --input file:harbour-wall.wav --fast --high-pass 120/24`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return f.run(cmd.Context(), a) },
	}
	f.listenFlags.add(cmd)
	flags := cmd.Flags()
	flags.Float64Var(&f.seconds, "seconds", 0, "stop after `N` seconds; 0: at the end of a file, or with ctrl-c")
	flags.Float64Var(&f.rate, "rate", 4, "print `N` lines per second, 0.1 to 50")
	flags.BoolVar(&f.fast, "fast", false, "read a file as fast as possible instead of in real time")
	flags.BoolVar(&f.changes, "changes", false, "print a line only when what is said has changed, as for a screen reader")
	a.jsonFlag(cmd, "one JSON object a line")
	return cmd
}

func (f *watchFlags) run(ctx context.Context, a *app) error {
	if !(f.rate >= 0.1 && f.rate <= 50) {
		return fmt.Errorf("--rate %g: choose 0.1 to 50 lines per second", f.rate)
	}
	if !(f.seconds >= 0) {
		return fmt.Errorf("--seconds %g: choose 0 or more", f.seconds)
	}
	o, err := f.listening(a)
	if err != nil {
		return err
	}
	w := watching{app: a, flags: f, Options: o}
	switch {
	case !f.fast:
		return withRig(ctx, &w.Options, rig.Listen, func(r *rig.Rig) error { return w.live(ctx, r) })
	case o.Input.Path() == "":
		return errors.New("--fast is for files: add --input file:PATH")
	}
	return w.offline(ctx)
}

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
