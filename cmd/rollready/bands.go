package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"rollready/dsp/bands"
	"rollready/dsp/figure"
)

// bandJSON is one band that bands --json prints.
type bandJSON struct {
	NominalHz figure.Figure `json:"nominal_hz"`
	MidHz     figure.Figure `json:"mid_hz"`
	LowHz     figure.Figure `json:"low_hz"`
	HighHz    figure.Figure `json:"high_hz"`
	Usually   string        `json:"usually"`
}

func newBands(a *app) *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{
		Use:   "bands",
		Short: "List the 32 bands and what usually lives there",
		Long: `Lists the one-third-octave bands (IEC 61260-1) with their edges and what a person
who films usually finds there.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error { return listBands(a.stdout, asJSON) },
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object")
	return cmd
}

func listBands(w io.Writer, asJSON bool) error {
	if asJSON {
		list := make([]bandJSON, bands.Count)
		for i := range list {
			b := bands.At(i)
			list[i] = bandJSON{figure.Figure(b.NominalHz), figure.Figure(b.MidHz), figure.Figure(b.LowHz), figure.Figure(b.HighHz), b.LivesHere}
		}
		return printJSON(w, map[string][]bandJSON{"bands": list})
	}
	table := newColumns(w, "BAND", "FROM", "TO", "USUALLY THERE")
	for i := range bands.Count {
		b := bands.At(i)
		table.row(hertz(b.NominalHz, "%g"), hertz(b.LowHz, "%.1f"), hertz(b.HighHz, "%.1f"), b.LivesHere)
	}
	return table.print()
}

func hertz(hz float64, format string) string { return fmt.Sprintf(format+" Hz", hz) }
