package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"rollready/dsp/bands"
)

func newBands(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bands",
		Short: "List the 32 bands and what usually lives there",
		Long: `Lists the one-third-octave bands (IEC 61260-1) with their edges and what a person
who films usually finds there.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			var list []any
			rows := [][]string{{"BAND", "FROM", "TO", "USUALLY THERE"}}
			for i := range bands.Count {
				b := bands.At(i)
				list = append(list, b.JSON())
				rows = append(rows, []string{fmt.Sprintf("%g Hz", b.NominalHz), fmt.Sprintf("%.1f Hz", b.LowHz), fmt.Sprintf("%.1f Hz", b.HighHz), b.LivesHere})
			}
			return a.say(map[string]any{"bands": list}, func() error { return a.table(rows) })
		},
	}
	a.jsonFlag(cmd, "one JSON object")
	return cmd
}
