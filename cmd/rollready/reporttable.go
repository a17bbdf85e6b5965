package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"time"

	"rollready/capture/survey"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
)

// writeReportTable prints a line per file, then what was found.
func writeReportTable(w io.Writer, files []survey.Result) error {
	if len(files) == 0 {
		return nil // a heading over nothing
	}
	table := newColumns(w, "FILE", "LENGTH", "TRUE PEAK", "LOUDNESS", "RANGE", "NOISE FLOOR", "CLIPPED", "HUM")
	for _, f := range files {
		name, long := filepath.Base(f.Path), length(f.DurationS)
		for i, p := range f.Parts() {
			switch {
			case i > 0:
				name, long = "  "+p.Name(), ""
			case len(f.Roles) > 0:
				name += ", " + p.Name()
			}
			table.row(name, long, p.TruePeakDBTP.With("dBTP"), p.IntegratedLUFS.With("LUFS"), p.RangeLU.With("LU"),
				p.NoiseFloorDBA.With("dBA"), strconv.FormatInt(p.ClippedRuns, 10), humWord(p.Hum))
		}
	}
	if err := table.print(); err != nil {
		return err
	}
	for _, f := range files {
		if words := f.Weighting(); words != "" {
			fmt.Fprintf(w, "\n%s: %s.\n", plain.Text(filepath.Base(f.Path)), words)
		}
		printFindings(w, f)
	}
	return nil
}

func printFindings(w io.Writer, f survey.Result) {
	if len(f.Findings) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", plain.Text(f.Path))
	for _, x := range f.Findings {
		fmt.Fprintf(w, "  %-8s %s\n           %s\n", x.Severity, x.Message, x.Action)
	}
}

func length(seconds figure.Figure) string {
	return time.Duration(float64(seconds) * float64(time.Second)).Round(100 * time.Millisecond).String()
}

func humWord(h survey.Hum) string {
	if !h.Present {
		return "none"
	}
	return fmt.Sprintf("%d Hz, %s", h.MainsHz, h.LevelDBFS.With("dBFS"))
}
