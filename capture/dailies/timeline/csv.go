package timeline

import (
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"rollready/capture/dailies"
	"rollready/dsp/plain"
)

var header = []string{"clip", "frame_rate", "timecode_in", "timecode_out", "length_s", "pictures", "scene", "take", "take_file",
	"from_s", "to_s", "take_offset_s", "clock_ppm", "agreeing_places", "compared_places", "sound_file", "lost_sound", "remark"}

// WriteCSV writes a line for every part of a clip that a take covers, one for
// every clip without a take and every take without a clip. Figures have a
// point, empty is unknown. The timecode out is that of the picture after the
// last.
func WriteCSV(w io.Writer, d dailies.Day, outputs []dailies.Output) error {
	out := csv.NewWriter(w)
	_ = out.Write(header) // Flush tells
	for i, c := range d.Clips {
		for _, p := range c.Parts {
			_ = out.Write(cells(append(clipCells(c), partCells(c, p, outputOf(outputs, i))...)))
		}
		if len(c.Parts) == 0 {
			row := append(clipCells(c), make([]string, len(header)-len(clipCells(c)))...)
			row[len(row)-1] = c.Without()
			_ = out.Write(cells(row))
		}
	}
	for _, t := range d.Alone() {
		row := make([]string, len(header))
		row[4], row[6], row[7], row[8], row[len(row)-1] = seconds(t.Seconds()), t.Scene, t.Take, filepath.Base(t.Path), "no clip of it"
		_ = out.Write(cells(row))
	}
	for _, f := range d.Failed {
		row := make([]string, len(header))
		row[0], row[len(row)-1] = filepath.Base(f.Path), f.Err
		_ = out.Write(cells(row))
	}
	out.Flush()
	return out.Error()
}

// cells makes text fit for a spreadsheet; figures stay.
func cells(row []string) []string {
	for i, cell := range row {
		if _, err := strconv.ParseFloat(cell, 64); err != nil {
			row[i] = plain.Cell(cell)
		}
	}
	return row
}

func clipCells(c dailies.Clip) []string {
	rate, in, end, pictures := "", "", "", ""
	if p := c.Picture; p.Frames > 0 {
		rate, pictures = p.Rate.String(), strconv.FormatInt(p.Frames, 10)
		in, end = p.Start().String(), p.Start().Plus(p.Frames).String()
	}
	return []string{filepath.Base(c.Path), rate, in, end, seconds(c.LengthS()), pictures}
}

func partCells(c dailies.Clip, p dailies.Part, out *dailies.Output) []string {
	file := ""
	if out != nil {
		file = filepath.Base(out.Path)
	}
	var lost []string
	for _, j := range p.Fit.Jumps {
		lost = append(lost, c.Lost(j))
	}
	return []string{p.Take.Scene, p.Take.Take, filepath.Base(p.Take.Path), seconds(p.FromS(c.Recording)), seconds(p.ToS(c.Recording)),
		fmt.Sprintf("%.6f", p.TakeS(c.Recording, 0)), fmt.Sprintf("%.3f", p.Fit.PPM), strconv.Itoa(p.Fit.Agreeing), strconv.Itoa(p.Fit.Places), file, strings.Join(lost, "; "), ""}
}

func seconds(s float64) string { return strconv.FormatFloat(s, 'f', 3, 64) }
