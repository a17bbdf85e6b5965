package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"
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
			table.row(name, long, unit(p.TruePeakDBTP, "dBTP"), unit(p.IntegratedLUFS, "LUFS"), unit(p.LoudnessRangeLU, "LU"),
				unit(p.NoiseFloorDBA, "dBA"), strconv.FormatInt(p.ClippedRuns, 10), humWord(p.Hum))
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

// unit is a level with its unit, or a dash where there is none.
func unit(f figure.Figure, unit string) string {
	if math.IsNaN(float64(f)) {
		return f.String()
	}
	return f.String() + " " + unit
}

func humWord(h survey.Hum) string {
	if !h.Present {
		return "none"
	}
	return fmt.Sprintf("%d Hz, %s", h.MainsHz, unit(h.LevelDBFS, "dBFS"))
}

// writeReportCSV writes a line per file; lists show their highest channel.
func writeReportCSV(w io.Writer, files []survey.Result) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"path", "duration_s", "sample_rate_hz", "channels", "sample_peak_dbfs", "true_peak_dbtp",
		"rms_dbfs", "dc_offset", "clipped_runs", "flat_tops", "dropouts", "integrated_lufs", "loudness_range_lu", "max_momentary_lufs",
		"max_short_term_lufs", "noise_floor_dbfs", "noise_floor_dba", "hum_mains_hz", "hum_level_dbfs", "findings", "non_finite_samples"})
	for _, f := range files {
		_ = out.Write([]string{plain.Cell(f.Path), cell(f.DurationS), strconv.Itoa(f.SampleRateHz), strconv.Itoa(f.Channels),
			cell(figure.Highest(f.SamplePeakDBFS)), cell(figure.Highest(f.TruePeakDBTP)), cell(figure.Highest(f.RMSDBFS)), cell(figure.Highest(f.DCOffset)),
			strconv.FormatInt(survey.Total(f.ClippedRuns), 10), strconv.FormatInt(survey.Total(f.FlatTops), 10), strconv.FormatInt(f.Dropouts, 10),
			cell(f.IntegratedLUFS), cell(f.LoudnessRangeLU), cell(f.MaxMomentaryLUFS), cell(f.MaxShortTermLUFS),
			cell(f.NoiseFloorDBFS), cell(f.NoiseFloorDBA), strconv.Itoa(f.Hum.MainsHz), cell(f.Hum.LevelDBFS), codes(f), strconv.FormatInt(f.NonFinite, 10)})
	}
	out.Flush()
	return out.Error()
}

// cell is a figure, empty where there is none.
func cell(f figure.Figure) string {
	if !f.Known() {
		return ""
	}
	return strconv.FormatFloat(float64(f), 'f', 3, 64)
}

func codes(f survey.Result) string {
	var list []string
	for _, x := range f.Findings {
		list = append(list, string(x.Code))
	}
	return strings.Join(list, " ")
}
