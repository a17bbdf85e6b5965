package main

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/take/soundreport"
)

// takeReportFlags are those of take report.
type takeReportFlags struct {
	takesFlag
	pageFlag
	day string
	csv bool
}

func newTakeReport(a *app) *cobra.Command {
	f := &takeReportFlags{}
	cmd := &cobra.Command{Use: "report", Short: "Write the sound report of a folder",
		Long: `Writes what was recorded, how loud it was and what went wrong, as
comma-separated values for a spreadsheet or as one HTML page for screen and
print. A page already there under that name is replaced.`,
		Example: `  rollready take report --takes harbour --html harbour/report.html
  rollready take report --takes harbour --day 2026-03-04 --csv > day.csv`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error { return f.run(a) }}
	flags := cmd.Flags()
	f.takesFlag.add(cmd)
	flags.StringVar(&f.day, "day", "", "only the takes of this `DAY`, as 2026-03-04")
	f.pageFlag.add(cmd)
	flags.BoolVar(&f.csv, "csv", false, "comma-separated values, one line per take")
	return cmd
}

func (f *takeReportFlags) run(a *app) error {
	switch {
	case f.html == "" && !f.csv:
		return errors.New("report: say what to write: --html FILE or --csv")
	case f.html == toStdout && f.csv:
		return errors.New("--html - with --csv: only one can go to the terminal: give --html the name of a file")
	}
	if err := f.check(); err != nil {
		return err
	}
	var day time.Time
	if f.day != "" {
		var err error
		if day, err = time.ParseInLocation("2006-01-02", f.day, time.Local); err != nil {
			return fmt.Errorf("--day %q: write it as 2026-03-04", f.day)
		}
	}
	r, err := soundreport.Read(f.folder(a), day, time.Now())
	if err != nil {
		return err
	}
	if err := f.put(a, func(w io.Writer) error { return soundreport.WriteHTML(w, r) }); err != nil || !f.csv {
		return err
	}
	return soundreport.WriteCSV(a.stdout, r.Takes())
}
