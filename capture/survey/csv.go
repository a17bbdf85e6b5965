package survey

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/plain"
)

// WriteCSV writes a line per file; lists show their highest channel.
func WriteCSV(w io.Writer, files []Result) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"path", "duration_s", "sample_rate_hz", "channels", "sample_peak_dbfs", "true_peak_dbtp",
		"rms_dbfs", "dc_offset", "clipped_runs", "flat_tops", "dropouts", "integrated_lufs", "loudness_range_lu", "max_momentary_lufs",
		"max_short_term_lufs", "noise_floor_dbfs", "noise_floor_dba", "hum_mains_hz", "hum_level_dbfs", "findings", "non_finite_samples"})
	for _, f := range files {
		_ = out.Write([]string{plain.Cell(f.Path), f.DurationS.Cell(3), strconv.Itoa(f.SampleRateHz), strconv.Itoa(f.Channels),
			figure.Highest(f.SamplePeakDBFS).Cell(3), figure.Highest(f.TruePeakDBTP).Cell(3), figure.Highest(f.RMSDBFS).Cell(3), furthest(f.DCOffset).Cell(3),
			strconv.FormatInt(Total(f.ClippedRuns), 10), strconv.FormatInt(Total(f.FlatTops), 10), strconv.FormatInt(f.Dropouts, 10),
			f.IntegratedLUFS.Cell(3), f.RangeLU.Cell(3), f.MaxMomentaryLUFS.Cell(3), f.MaxShortTermLUFS.Cell(3),
			f.NoiseFloorDBFS.Cell(3), f.NoiseFloorDBA.Cell(3), f.Hum.cell(), f.Hum.LevelDBFS.Cell(3), codes(f), strconv.FormatInt(f.NonFinite, 10)})
	}
	out.Flush()
	return out.Error()
}

// furthest gives what lies furthest from zero, with its sign.
func furthest(list []figure.Figure) (f figure.Figure) {
	for _, x := range list {
		if math.Abs(float64(x)) > math.Abs(float64(f)) {
			f = x
		}
	}
	return f
}

// cell is the frequency of the hum in a table for scripts: empty where there is none.
func (h Hum) cell() string {
	if !h.Present {
		return ""
	}
	return strconv.Itoa(h.MainsHz)
}

func codes(f Result) string {
	var list []string
	for _, x := range f.Findings {
		list = append(list, string(x.Code))
	}
	return strings.Join(list, " ")
}
