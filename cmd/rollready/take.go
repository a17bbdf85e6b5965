package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"rollready/capture/take"
	"rollready/dsp/plain"
)

func newTake(a *app) *cobra.Command {
	return group("take", "Record takes, list them, bring them back, mend them, report on them",
		newTakeRecord(a), newTakeList(a), newTakeUndelete(a), newTakeRecover(a), newTakeReport(a))
}

func newTakeRecover(a *app) *cobra.Command {
	cmd := &cobra.Command{Use: "recover [FILE or DIR]…", Short: "Mend recordings that a crash or a full disk cut short",
		Long: `Mends WAV files whose header does not fit the sound that is there, as a crash,
a power cut or a full disk leaves them. Whole files are not touched and no
sound is taken away. Without a name it looks at the folder of the takes as set
in the monitor. Ends with 1 if a file could not be mended.`,
		Example: "  rollready take recover harbour",
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				args = []string{(&takesFlag{}).folder(a)}
			}
			all, err := take.RecoverAll(args...)
			if err != nil {
				return err
			}
			return a.printRecovered(all)
		}}
	a.jsonFlag(cmd, "one JSON object")
	return cmd
}

func (a *app) printRecovered(all []take.Recovered) error {
	err := a.say(map[string]any{"files": append([]take.Recovered{}, all...)}, func() error {
		for _, r := range all {
			text := string(r.Outcome)
			if r.Text != "" {
				text += ": " + r.Text
			}
			fmt.Fprintf(a.stdout, "%s: %s\n", plain.Text(r.Path), plain.Text(text))
		}
		return nil
	})
	if err == nil && slices.ContainsFunc(all, func(r take.Recovered) bool { return r.Outcome == take.Hopeless }) {
		return errFinding
	}
	return err
}
