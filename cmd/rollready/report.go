package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"rollready/capture/survey"
	"rollready/capture/survey/page"
	"rollready/dsp/verdict"
)

// reportFlags are those of report.
type reportFlags struct {
	json, csv, compare bool
	html               string
}

func newReport(a *app) *cobra.Command {
	f := &reportFlags{}
	cmd := &cobra.Command{
		Use:   "report FILE…",
		Short: "Measure recorded files: level, loudness, noise, hum, clipping",
		Long: `Measures recordings: files, whole folders, or patterns like "day2/*.wav". WAV,
RF64, Broadcast Wave and FLAC are read directly, other containers through ffmpeg
where it is installed. A bad file is named and does not stop the others; the
exit code is then 2. It is 1 if a file has a finding that stops.

With --compare two recordings of the same take, the camera's and the laptop's
for instance, are lined up in time, and what both hold is measured: which one is
cleaner, and by what.`,
		Example: `  rollready report harbour-wall-1.wav
  rollready report cards/day2 --html day2.html
  rollready report kitchen/*.wav --csv > kitchen.csv
  rollready report --compare camera-0012.mov harbour-wall-1.wav`,
		Args: f.files,
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd.Context(), a, args) },
	}
	cmd.Flags().BoolVar(&f.json, "json", false, "one JSON object")
	cmd.Flags().BoolVar(&f.csv, "csv", false, "comma-separated values, one line per file")
	cmd.Flags().StringVar(&f.html, "html", "", "also write a page with pictures to `FILE`; - writes it alone, to the terminal")
	cmd.Flags().BoolVar(&f.compare, "compare", false, "compare two recordings of the same take")
	either(cmd, [2]string{"json", "csv"}, [2]string{"compare", "csv"})
	return cmd
}

// files checks how many are given.
func (f *reportFlags) files(_ *cobra.Command, args []string) error {
	switch {
	case f.html == toStdout && (f.json || f.csv):
		return errors.New("--html - with --json or --csv: only one can go to the terminal: give --html the name of a file")
	case f.compare && len(args) != 2:
		return fmt.Errorf("%d files given, --compare needs 2: write rollready report --compare A B", len(args))
	case len(args) == 0:
		return errors.New("no file given: write rollready report FILE…")
	}
	return nil
}

func (f *reportFlags) run(ctx context.Context, a *app, args []string) error {
	if err := f.checkPage(); err != nil {
		return err
	}
	if f.compare {
		return f.runCompare(ctx, a, args[0], args[1])
	}
	paths, err := survey.Expand(args)
	if err != nil {
		return err
	}
	batch := survey.NewBatch(paths)
	stop := showProgress(a.stderr, func() string {
		return fmt.Sprintf("measured %d of %d files, %.0f %%", batch.Done(), len(paths), 100*batch.Share())
	})
	outcomes := batch.Run(ctx)
	stop()
	if ctx.Err() != nil {
		return errStopped
	}
	if err := f.writePage(a, page.Report{Outcomes: outcomes}); err != nil {
		return err
	}
	if err := f.write(a.stdout, outcomes); err != nil {
		return err
	}
	return a.tellFailures(outcomes)
}

var errStopped = errors.New("stopped: nothing was written")

func (f *reportFlags) write(w io.Writer, outcomes []survey.Outcome) error {
	switch {
	case f.html == toStdout: // the page stands there
		return nil
	case f.json:
		return printJSON(w, map[string]any{"files": measured(outcomes)})
	case f.csv:
		return survey.WriteCSV(w, measured(outcomes))
	default:
		return writeReportTable(w, measured(outcomes))
	}
}

// measured are the results without the failures.
func measured(outcomes []survey.Outcome) []survey.Result {
	good := []survey.Result{}
	for _, o := range outcomes {
		if o.Err == nil {
			good = append(good, o.Result)
		}
	}
	return good
}

// tellFailures names every file that could not be measured, and turns
// failures and findings that stop into the command's end.
func (a *app) tellFailures(outcomes []survey.Outcome) error {
	failed, stops := 0, false
	for _, o := range outcomes {
		if o.Err != nil {
			failed++
			fmt.Fprintln(a.stderr, "rollready:", oneLine(o.Err))
		}
		stops = stops || verdict.Judge(o.Result.Findings) == verdict.NotReady
	}
	switch {
	case failed > 0:
		return fmt.Errorf("%d of %d files could not be measured", failed, len(outcomes))
	case stops:
		return errFinding
	}
	return nil
}
