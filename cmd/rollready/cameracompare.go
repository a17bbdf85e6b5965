package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"rollready/dsp/figure"
	"rollready/dsp/lineup"
	"rollready/presets"
)

// compareCameras sets two profiles side by side.
func compareCameras(s shelf[presets.Camera]) *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{Use: "compare NAME OTHER", Short: "Set two cameras, or two line-ups of one, side by side", Args: exactly(2),
		RunE: func(_ *cobra.Command, args []string) error {
			cameras := s.open()
			var two [2]presets.Camera
			for i, name := range args {
				var err error
				if two[i], err = cameras.Load(name); err != nil {
					return explain(err, "camera")
				}
			}
			if asJSON {
				return printJSON(s.app.stdout, map[string][2]cameraJSON{"cameras": {newCameraJSON(two[0]), newCameraJSON(two[1])}})
			}
			return printCompared(s.app, two)
		}}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object")
	return cmd
}

func printCompared(a *app, two [2]presets.Camera) error {
	table := newColumns(a.stdout, "", two[0].Name, two[1].Name, "")
	left, right := comparedRows(two[0]), comparedRows(two[1])
	for i := range left {
		mark := ""
		if left[i].value != right[i].value {
			mark = "differs"
		}
		table.row(left[i].name, left[i].value, right[i].value, mark)
	}
	if two[0].LineUp != nil && two[1].LineUp != nil {
		compareResponses(table, two[0].LineUp.Response, two[1].LineUp.Response)
	}
	return table.print()
}

// comparedRows has the same rows for every camera, whatever is known of it.
func comparedRows(c presets.Camera) []row {
	when := "never"
	if !c.LinedUp.IsZero() {
		when = c.LinedUp.Local().Format("2006-01-02 15:04")
	}
	rows := []row{
		{"scale", figure.Sprintf("reads output %+.1f dB, clips at %.1f dBFS, target %.1f to %.1f dBFS", c.Scale.OffsetDB, c.Scale.ClipDBFS, c.Scale.TargetLowDBFS, c.Scale.TargetHighDBFS)},
		{"lined up", when}, {"with", c.LinedUpWith}, {"volume", c.LinedUpVolume.String()}, {"mic level", c.MicLevel}, {"cable", c.Cable},
	}
	if c.LineUp != nil {
		return append(rows, lineupRows(*c.LineUp)...)
	}
	for _, r := range lineupRows(lineup.Result{}) {
		rows = append(rows, row{r.name, "not measured"})
	}
	return rows
}

func compareResponses(table *columns, a, b []lineup.Point) {
	levels := map[float64]float64{}
	for _, p := range b {
		levels[p.Hz] = p.LevelDB
	}
	for _, p := range a {
		if other, ok := levels[p.Hz]; ok {
			table.row(fmt.Sprintf("%g Hz", p.Hz), figure.Sprintf("%+.1f dB", p.LevelDB), figure.Sprintf("%+.1f dB", other), figure.Sprintf("%+.1f dB", other-p.LevelDB))
		}
	}
}
