package main

import (
	"context"
	"fmt"
	"math"
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
		return printJSON(a.stdout, map[string]any{"files": survey.Measured(outcomes), "compare": c})
	}
	return writeComparison(a, &c)
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
