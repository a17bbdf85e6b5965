package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"sync/atomic"

	"rollready/capture/survey"
	"rollready/capture/survey/page"
	"rollready/dsp/plain"
)

// runCompare compares two recordings of the same take.
func (f *reportFlags) runCompare(ctx context.Context, a *app, first, second string) error {
	var share atomic.Uint64
	stop := showProgress(a.stderr, func() string {
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
	if f.json {
		return printJSON(a.stdout, map[string]any{"files": measured(outcomes), "compare": c})
	}
	return writeComparison(a.stdout, &c)
}

func writeComparison(w io.Writer, c *survey.Comparison) error {
	for i, name := range []string{"A", "B"} {
		fmt.Fprintf(w, "%s  %s, %.1f s\n", name, plain.Text(c.Sides[i].Path), float64(c.Whole[i].DurationS))
	}
	fmt.Fprintf(w, "\n%s\n", c.Verdict())
	for _, r := range c.Reasons {
		fmt.Fprintf(w, "  %s\n", r.Message)
	}
	fmt.Fprintf(w, "\n%s\n\n", c.How())
	table := newColumns(w, c.Common(), "A "+filepath.Base(c.Sides[0].Path), "B "+filepath.Base(c.Sides[1].Path))
	for _, m := range c.Table() {
		table.row(m.Name, m.A, m.B)
	}
	return table.print()
}
