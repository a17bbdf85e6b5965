package soundreport

import (
	"encoding/csv"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"rollready/capture/take"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
)

var header = []string{"file", "scene", "take", "kind", "circled", "verdict", "reasons", "note", "date", "start", "length_s", "before_key_s",
	"sample_rate_hz", "encoding", "tracks", "input_peak_dbtp", "camera_peak_dbtp", "output_peak_dbtp", "integrated_lufs", "loudness_range_lu",
	"max_momentary_lufs", "max_short_term_lufs", "noise_floor_dbfs", "clips", "dropout_frames", "input_away_s", "disk_lag_s", "markers", "events", "findings"}

// WriteCSV writes one line per take, figures with a point, UTF-8. A figure
// that was not measured is empty, and so is the level of silence.
func WriteCSV(w io.Writer, takes []take.Take) error {
	out := csv.NewWriter(w)
	if err := out.Write(header); err != nil {
		return err
	}
	for _, t := range takes {
		if err := out.Write(row(t)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func row(t take.Take) []string {
	word, why := t.Verdict()
	l := t.Levels
	kind := "take"
	if t.RoomTone {
		kind = "room tone"
	}
	cells := []string{plain.Cell(filepath.Base(t.Path)), plain.Cell(t.Scene), strconv.Itoa(t.Number), kind, strconv.FormatBool(t.Circled), word, strings.Join(why, "; "), plain.Cell(t.Note),
		t.Start("2006-01-02", ""), t.Start("15:04:05.000", ""), seconds(t, t.Frames), seconds(t, t.LeadFrames),
		strconv.Itoa(t.RateHz), t.Encoding, plain.Cell(strings.Join(t.Tracks, "; "))}
	for _, x := range []figure.Figure{l.InputPeakDBTP, l.CameraPeakDBTP, l.OutputPeakDBTP, l.IntegratedLUFS, l.RangeLU, l.MaxMomentaryLUFS, l.MaxShortTermLUFS, l.NoiseFloorDBFS} {
		cells = append(cells, x.Cell(1))
	}
	return append(cells, strconv.FormatInt(l.Clips, 10), strconv.FormatInt(t.Dropouts, 10), seconds(t, t.Lost), seconds(t, t.Lag),
		plain.Text(strings.Join(markers(t), "; ")), plain.Text(strings.Join(events(t), "; ")), codes(t))
}

// codes gives "hum", or "hum:input" where it is of the tracks of a role.
func codes(t take.Take) string {
	var list []string
	for _, f := range t.Findings {
		list = append(list, strings.TrimSuffix(string(f.Code)+":"+string(f.Track), ":"))
	}
	return strings.Join(list, " ")
}

func seconds(t take.Take, frames int64) string {
	if t.RateHz <= 0 {
		return ""
	}
	return strconv.FormatFloat(float64(frames)/float64(t.RateHz), 'f', 3, 64)
}

// markers gives "0:12.3 door" for each.
func markers(t take.Take) (all []string) {
	for _, m := range t.Markers {
		all = append(all, strings.TrimSpace(place(t, m.Frame)+" "+m.Text))
	}
	return all
}

func events(t take.Take) (all []string) {
	for _, e := range t.Events {
		all = append(all, e.At.Format("15:04:05")+" "+e.Text)
	}
	return all
}

// place is a time in a take to a tenth of a second: 1:02:03.4.
func place(t take.Take, frame int64) string {
	if t.RateHz <= 0 {
		return ""
	}
	tenths := frame * 10 / int64(t.RateHz)
	s := time.Duration(tenths) * 100 * time.Millisecond
	minutes := int(s.Minutes())
	rest := strconv.FormatFloat(float64(tenths%600)/10, 'f', 1, 64)
	if tenths%600 < 100 {
		rest = "0" + rest
	}
	if minutes < 60 {
		return strconv.Itoa(minutes) + ":" + rest
	}
	m := strconv.Itoa(minutes % 60)
	if minutes%60 < 10 {
		m = "0" + m
	}
	return strconv.Itoa(minutes/60) + ":" + m + ":" + rest
}
