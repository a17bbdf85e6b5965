package main

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/take/soundreport"
)

// takeReportFlags are those of take report.
type takeReportFlags struct {
	takesFlag
	day, html, csv string
}

func newTakeReport(a *app) *cobra.Command {
	f := &takeReportFlags{}
	cmd := &cobra.Command{Use: "report", Short: "Write the sound report of a folder",
		Long: `Writes what was recorded, how loud it was and what went wrong, as a CSV for a
spreadsheet or as one HTML page for screen and print. A report already there
under that name is replaced.`,
		Example: `  rollready take report --takes harbour --html harbour/report.html
  rollready take report --takes harbour --day 2026-03-04 --csv -`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error { return f.run(a) }}
	flags := cmd.Flags()
	f.takesFlag.add(cmd)
	flags.StringVar(&f.day, "day", "", "only the takes of this `DAY`, as 2026-03-04")
	flags.StringVar(&f.html, "html", "", "write the page to `FILE`, - for the terminal")
	flags.StringVar(&f.csv, "csv", "", "write the CSV to `FILE`, - for the terminal")
	return cmd
}

func (f *takeReportFlags) run(a *app) error {
	if f.html == "" && f.csv == "" {
		return errors.New("report: say where it goes: --html FILE or --csv FILE, - for the terminal")
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
	var page, table bytes.Buffer
	if err := errors.Join(soundreport.WriteHTML(&page, r), soundreport.WriteCSV(&table, r.Takes())); err != nil {
		return err
	}
	return errors.Join(a.put(f.html, page.Bytes()), a.put(f.csv, table.Bytes()))
}
