package main

import (
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"rollready/dsp/gainplan"
	"rollready/tui/lines"
)

func newLineupPlan(a *app) *cobra.Command {
	var output string
	var settings []string
	var pad float64
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Work out on paper where −20 dBFS will land on the camera",
		Long: `Works out from the makers' figures where our output lands on the camera's meter
at each of its mic-level settings, and which pad is missing or too much. Levels
are rms, of a sine at full scale: a number and dBu, dBV, mV or V, or unknown.

The choice is the least noise at which nothing overloads. The camera's noise is
taken to lie equally far below full scale at all its settings, and is higher
than it need be by as much as full output stays below full scale. The line-up
by clip measures it.`,
		Example: `  rollready lineup plan --output-level +4dBu --pad 20 --setting "mic low=-30dBV" --setting "line=2V"`,
		Args:    noArgs,
		RunE: func(*cobra.Command, []string) error {
			plan, err := parsePlan(output, pad, settings)
			if err != nil {
				return err
			}
			return a.say(plan.JSON(), func() error { return printPlan(a, plan) })
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&output, "output-level", "unknown", "`LEVEL` the interface puts out at 0 dBFS, as set")
	flags.Float64Var(&pad, "pad", 0, "pad in the cable, in `DB`")
	flags.StringArrayVar(&settings, "setting", nil, "`NAME=LEVEL`: a mic-level setting, the input that reads 0 dBFS; repeat it")
	a.jsonFlag(cmd, "one JSON object")
	return cmd
}

func parsePlan(output string, pad float64, settings []string) (gainplan.Plan, error) {
	plan := gainplan.Plan{PadDB: pad}
	if err := gainplan.CheckPad(pad); err != nil {
		return plan, fmt.Errorf("--pad: %w", err)
	}
	var err error
	if plan.Output, err = gainplan.ParseLevel(output); err != nil {
		return plan, fmt.Errorf("--output-level: %w", err)
	}
	if len(settings) == 0 {
		return plan, errors.New("no --setting given: write one for each mic-level setting, like --setting \"mic low=-30dBV\" or \"mic low=unknown\"")
	}
	for _, text := range settings {
		setting, err := gainplan.ParseSetting(text)
		if err != nil {
			return plan, fmt.Errorf("--setting: %w", err)
		}
		if slices.ContainsFunc(plan.Settings, func(s gainplan.Setting) bool { return s.Name == setting.Name }) {
			return plan, fmt.Errorf("--setting: %q is given twice: give each a name of its own", setting.Name)
		}
		plan.Settings = append(plan.Settings, setting)
	}
	return plan, nil
}

func printPlan(a *app, plan gainplan.Plan) error {
	fmt.Fprintf(a.stdout, "output at 0 dBFS: %s, pad %.0f dB\n\n", plan.Output, plan.PadDB)
	if err := a.table(plan.Rows()); err != nil {
		return err
	}
	fmt.Fprintln(a.stdout)
	settings, choice := plan.Text()
	for _, text := range settings {
		lines.Paragraph(a.stdout, "", text)
	}
	fmt.Fprintln(a.stdout)
	if choice != "" {
		lines.Paragraph(a.stdout, "", choice)
		fmt.Fprintln(a.stdout)
	}
	for _, line := range gainplan.Cautions() {
		lines.Paragraph(a.stdout, "- ", line)
	}
	return nil
}
