package survey

import (
	"fmt"
	"path/filepath"
	"strconv"
	"time"

	"rollready/dsp/figure"
)

// Rows are a table of what was measured, the first row its heading: a line for
// each role of a file's tracks.
func Rows(files []Result) [][]string {
	rows := [][]string{{"FILE", "LENGTH", "TRUE PEAK", "LOUDNESS", "RANGE", "NOISE FLOOR", "CLIPPED", "HUM"}}
	for _, f := range files {
		name, long := filepath.Base(f.Path), length(f.DurationS)
		for i, p := range f.Parts() {
			switch {
			case i > 0:
				name, long = "  "+p.Name(), ""
			case len(f.Roles) > 0:
				name += ", " + p.Name()
			}
			rows = append(rows, []string{name, long, p.TruePeakDBTP.With("dBTP"), p.IntegratedLUFS.With("LUFS"), p.RangeLU.With("LU"),
				p.NoiseFloorDBA.With("dBA"), strconv.FormatInt(p.ClippedRuns, 10), p.Hum.Words()})
		}
	}
	return rows
}

func length(seconds figure.Figure) string {
	return time.Duration(float64(seconds) * float64(time.Second)).Round(100 * time.Millisecond).String()
}

// Words is the hum in a cell: "50 Hz, −62.3 dBFS" or "none".
func (h Hum) Words() string {
	if !h.Present {
		return "none"
	}
	return fmt.Sprintf("%d Hz, %s", h.MainsHz, h.LevelDBFS.With("dBFS"))
}

// Rows are the table of a comparison, the first row its heading.
func (c *Comparison) Rows() [][]string {
	rows := [][]string{{c.Common(), "A " + filepath.Base(c.Sides[0].Path), "B " + filepath.Base(c.Sides[1].Path)}}
	for _, m := range c.Table() {
		rows = append(rows, []string{m.Name, m.A, m.B})
	}
	return rows
}

// Measured are the results without the failures.
func Measured(outcomes []Outcome) []Result {
	good := []Result{}
	for _, o := range outcomes {
		if o.Err == nil {
			good = append(good, o.Result)
		}
	}
	return good
}
