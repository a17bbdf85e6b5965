package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/survey"
	"rollready/capture/survey/page"
	"rollready/dsp/plain"
	"rollready/dsp/strips"
	"rollready/dsp/verdict"
	"rollready/tui/lines"
)

// reportFlags are those of report.
type reportFlags struct {
	pageFlag
	csv, compare bool
	names        string
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
		Args: func(_ *cobra.Command, args []string) error { return f.files(a, args) },
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd.Context(), a, args) },
	}
	a.jsonFlag(cmd, "one JSON object")
	cmd.Flags().BoolVar(&f.csv, "csv", false, "comma-separated values, one line per file")
	f.pageFlag.add(cmd)
	cmd.Flags().StringVar(&f.names, "names", "", "`WHO` speaks into each channel: host,guest")
	cmd.Flags().BoolVar(&f.compare, "compare", false, "compare two recordings of the same take")
	either(cmd, [2]string{"json", "csv"}, [2]string{"compare", "csv"})
	return cmd
}

// files checks how many are given.
func (f *reportFlags) files(a *app, args []string) error {
	switch {
	case f.html == toStdout && (a.json || f.csv):
		return errors.New("--html - with --json or --csv: only one can go to the terminal: give --html the name of a file")
	case f.compare && len(args) != 2:
		return fmt.Errorf("files given: %d, --compare needs 2: write rollready report --compare A B", len(args))
	case len(args) == 0:
		return errors.New("no file given: write rollready report FILE…")
	}
	return nil
}

func (f *reportFlags) run(ctx context.Context, a *app, args []string) error {
	if err := f.check(); err != nil {
		return err
	}
	if f.compare {
		return f.runCompare(ctx, a, args[0], args[1])
	}
	paths, err := survey.Expand(args)
	if err != nil {
		return err
	}
	names, err := strips.ParseNames(f.names)
	if err != nil {
		return fmt.Errorf("--names: %w", err)
	}
	batch := survey.NewBatch(paths)
	stop := lines.Progress(a.stderr, func() string {
		return fmt.Sprintf("measured %d of %d files, %.0f %%", batch.Done(), len(paths), 100*batch.Share())
	})
	outcomes := batch.Run(ctx)
	stop()
	if ctx.Err() != nil {
		return errStopped
	}
	for i := range outcomes {
		if o := &outcomes[i]; o.Err == nil && f.names != "" {
			o.Err = o.Result.Name(names)
		}
	}
	if err := f.writePage(a, page.Report{Outcomes: outcomes}); err != nil {
		return err
	}
	if err := f.write(a, outcomes); err != nil {
		return err
	}
	return a.tellFailures(outcomes)
}

var errStopped = errors.New("stopped: nothing was written")

func (f *reportFlags) write(a *app, outcomes []survey.Outcome) error {
	switch {
	case f.html == toStdout: // the page stands there
		return nil
	case a.json:
		return a.printJSON(map[string]any{"files": survey.Measured(outcomes)})
	case f.csv:
		return survey.WriteCSV(a.stdout, survey.Measured(outcomes))
	default:
		return writeReportTable(a, survey.Measured(outcomes))
	}
}

// tellFailures names every file that could not be measured, and turns
// failures and findings that stop into the command's end; that of a single file is
// the end.
func (a *app) tellFailures(outcomes []survey.Outcome) error {
	if len(outcomes) == 1 && outcomes[0].Err != nil {
		return outcomes[0].Err
	}
	failed, stops := 0, false
	for _, o := range outcomes {
		if o.Err != nil {
			failed++
			fmt.Fprintln(a.stderr, "rollready:", plain.OneLine(o.Err))
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

// writeReportTable prints a line per file, then what was found.
func writeReportTable(a *app, files []survey.Result) error {
	if len(files) == 0 {
		return nil // a heading over nothing
	}
	if err := a.table(survey.Rows(files)); err != nil {
		return err
	}
	for _, f := range files {
		if words := f.Weighting(); words != "" {
			fmt.Fprintf(a.stdout, "\n%s: %s.\n", plain.Text(filepath.Base(f.Path)), words)
		}
		if len(f.Findings) > 0 {
			fmt.Fprintf(a.stdout, "\n%s\n", plain.Text(f.Path))
		}
		for _, x := range f.Findings {
			fmt.Fprintf(a.stdout, "  %-8s %s\n           %s\n", x.Severity, x.Message, x.Action)
		}
	}
	return nil
}

func (f *reportFlags) writePage(a *app, r page.Report) error {
	r.Made = time.Now()
	return f.put(a, func(w io.Writer) error { return page.Write(w, r) })
}

// runCompare compares two recordings of the same take.
func (f *reportFlags) runCompare(ctx context.Context, a *app, first, second string) error {
	var share atomic.Uint64
	stop := lines.Progress(a.stderr, func() string {
		return fmt.Sprintf("compared %.0f %%", 100*math.Float64frombits(share.Load()))
	})
	c, err := survey.Compare(ctx, first, second, func(s float64) { share.Store(math.Float64bits(s)) })
	stop()
	if ctx.Err() != nil {
		return errStopped
	}
	if err != nil {
		return err
	}
	outcomes := []survey.Outcome{{Path: first, Result: c.Whole[0]}, {Path: second, Result: c.Whole[1]}}
	if err := f.writePage(a, page.Report{Outcomes: outcomes, Compared: &c}); err != nil {
		return err
	}
	if f.html == toStdout {
		return nil
	}
	return a.say(map[string]any{"files": survey.Measured(outcomes), "compare": c}, func() error { return writeComparison(a, &c) })
}

func writeComparison(a *app, c *survey.Comparison) error {
	for i, name := range []string{"A", "B"} {
		fmt.Fprintf(a.stdout, "%s  %s, %.1f s\n", name, plain.Text(c.Sides[i].Path), float64(c.Whole[i].DurationS))
	}
	fmt.Fprintf(a.stdout, "\n%s\n", c.Verdict())
	for _, r := range c.Reasons {
		fmt.Fprintf(a.stdout, "  %s\n", r.Message)
	}
	fmt.Fprintf(a.stdout, "\n%s\n\n", c.How())
	return a.table(c.Rows())
}
