package main

import (
	"context"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"rollready/capture/offline"
	"rollready/capture/wavfile"
	"rollready/tui/lines"
)

// processFlags are those of the command process.
type processFlags struct {
	chainFlags
	channels, encoding string
	overwrite          bool
}

func newProcess(a *app) *cobra.Command {
	f := &processFlags{}
	cmd := &cobra.Command{
		Use:   "process IN OUT",
		Short: "Run a file through a preset's chain",
		Long: `Runs a recording through gain, filters and limiter: every sample is what the
live monitor would have given, and stays in step with the picture, for what the
limiter delays is taken back. OUT is a WAV file that appears at once and whole
when it is done; it becomes RF64 where it passes 4 GiB. It keeps the time
reference, markers, scene and notes of IN. Without chain flags the chain is as
last set in the monitor; with any, the rest of the chain is off.

Of a take its raw tracks go through the chain; of a file with more than two
channels each by itself. With --route OUT is what the camera would get.`,
		Example: `  rollready process harbour-wall.wav harbour-wall-dry.wav --preset "outdoor wind"
  rollready process take.wav louder.wav --gain 6 --limit -1 --encoding 24`,
		Args: exactly(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(cmd.Context(), a, args[0], args[1])
		},
	}
	f.chainFlags.add(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.channels, "channels", "", "`WHICH`: 1, 2, … for one; 1+2 for a pair; mix for the mean of all; all")
	flags.StringVar(&f.encoding, "encoding", "", "`BITS`: 16, 24, 32, float or double; that of IN if not given")
	flags.BoolVar(&f.overwrite, "replace", false, "replace OUT where it exists")
	return cmd
}

func (f *processFlags) run(ctx context.Context, a *app, in, out string) error {
	store := a.store()
	set, err := f.chainFlags.settings(a.settings(store).Strips, store.Presets)
	if err != nil {
		return err
	}
	if f.Route == "" { // the strips themselves, wherever the monitor sends them
		set.Route = ""
	}
	encoding := wavfile.Named(f.encoding)
	if f.encoding != "" && encoding == 0 {
		return fmt.Errorf("--encoding %q: choose 16, 24, 32, float or double", f.encoding)
	}
	made, err := offline.Job{In: in, Out: out, Set: set, Channels: f.channels, Encoding: encoding, Replace: f.overwrite, Fits: f.fits, Warn: a.warn,
		Show: func(frames int64) (func(int64), func()) { return lines.Bar(a.stderr, filepath.Base(out), frames) }}.Run(ctx)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(a.stdout, made)
	return err
}
