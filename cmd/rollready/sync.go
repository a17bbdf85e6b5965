package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/dailies"
	"rollready/capture/dailies/page"
	"rollready/capture/dailies/timeline"
	"rollready/capture/track"
	"rollready/dsp/plain"
	"rollready/presets/whole"
	"rollready/tui/format"
	"rollready/tui/lines"
)

// syncFlags are those of sync.
type syncFlags struct {
	takesFlag
	out, tracks, pattern string
	dryRun, mend         bool
}

func newSync(a *app) *cobra.Command {
	f := &syncFlags{}
	cmd := &cobra.Command{
		Use:   "sync CARD…",
		Short: "Bring the day's clips and takes together",
		Long: `Finds by the sound alone which clip of a card belongs to which take, however wrong
the camera's clock, and writes for every clip a Broadcast Wave of exactly its
length that starts at its first picture and runs with it: the difference of the
clocks is taken out. Beside them: day.otio, a timeline in the open format
OpenTimelineIO, day.csv, and day.html, which tells of every clip what the camera
did to its sound and which sound to use. With --mend the camera's sound is also
written with only its bad stretches out of the take, matched in level and tone.
Clips and takes are only read. What was found is kept, so a second run does only
what is missing. Clips may be files, folders or patterns; containers are read
through ffmpeg.`,
		Example: `  rollready sync /media/card --takes harbour --out harbour/synced --dry-run
  rollready sync /media/card --takes harbour --out harbour/synced --tracks input,safety
  rollready sync "card/*.mp4" --out synced --pattern "{date}_{clip}"`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("no card given: write rollready sync CARD --takes DIR --out DIR")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd.Context(), a, args) },
	}
	f.takesFlag.add(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.out, "out", "", "`DIR` for what is written")
	flags.StringVar(&f.tracks, "tracks", "all", "`WHICH` tracks of takes: processed,input,safety or all")
	flags.StringVar(&f.pattern, "pattern", dailies.DefaultPattern, "`PATTERN` of names; also {date}, {time}")
	flags.BoolVar(&f.mend, "mend", false, "also write the camera's sound, with only its bad stretches out of the take")
	flags.BoolVar(&f.dryRun, "dry-run", false, "show the plan and write nothing")
	a.jsonFlag(cmd, "one JSON object")
	return cmd
}

func (f *syncFlags) run(ctx context.Context, a *app, cards []string) error {
	write, err := f.options(a)
	if err != nil {
		return err
	}
	find := dailies.Options{Keep: write.Keep}
	if find.Clips, find.Takes, err = dailies.Collect(cards, f.folder(a), f.out); err != nil {
		return err
	}
	stages, stop := a.showStages()
	defer stop()
	find.Progress, write.Progress = stages, stages
	day, err := dailies.Find(ctx, find)
	if err != nil {
		return err
	}
	if err := dailies.Hear(ctx, &day, find); err != nil {
		return err
	}
	plan, err := dailies.Plan(day, write)
	if err != nil {
		return err
	}
	if !f.dryRun {
		failed, err := dailies.Write(ctx, day, plan, write)
		if err := errors.Join(err, dailies.Judge(ctx, &day, find)); err != nil {
			return err
		}
		day.Failed = append(day.Failed, failed...)
		if err := writeDay(write, day, plan); err != nil {
			return err
		}
		a.warn(day.KeepPairs())
	}
	stop()
	return a.tellDay(dailies.Tell(day, plan, f.dryRun))
}

// options checks what was asked for, before the work.
func (f *syncFlags) options(a *app) (o dailies.WriteOptions, err error) {
	if f.out == "" && !f.dryRun {
		return o, errors.New("say where the sound goes: --out DIR, or look first with --dry-run")
	}
	if info, err := os.Stat(f.out); err == nil && !info.IsDir() {
		return o, fmt.Errorf("--out %s is a file: name a folder", f.out)
	}
	if err := dailies.CheckPattern(f.pattern); err != nil {
		return o, fmt.Errorf("--pattern %q: %w", f.pattern, err)
	}
	roles, err := track.ParseRoles(f.tracks)
	if err != nil {
		return o, fmt.Errorf("--tracks %w", err)
	}
	return dailies.WriteOptions{Dir: f.out, Pattern: f.pattern, Roles: roles, Mend: f.mend, Keep: filepath.Join(a.dir(), "dailies")}, nil
}

// writeDay writes timeline, table and page, each whole or not at all.
func writeDay(o dailies.WriteOptions, day dailies.Day, plan []dailies.Output) error {
	var otio, table, report bytes.Buffer
	now := time.Now()
	err := errors.Join(timeline.WriteOTIO(&otio, "day of "+now.Format("2006-01-02"), day, plan), timeline.WriteCSV(&table, day, plan),
		page.Write(&report, page.Report{Day: day, Outputs: plan, Keep: o.Keep, Made: now}))
	for name, raw := range map[string]*bytes.Buffer{"day.otio": &otio, "day.csv": &table, "day.html": &report} {
		if err == nil {
			err = whole.Write(filepath.Join(o.Dir, name), raw.Bytes(), 0o644)
		}
	}
	return err
}

// showStages shows on a terminal how far the work has come.
func (a *app) showStages() (dailies.Progress, func()) {
	var line atomic.Value
	line.Store("looking")
	return func(stage string, done, all int64) { line.Store(fmt.Sprintf("%s: %d of %d", stage, done, all)) },
		lines.Progress(a.stderr, func() string { return line.Load().(string) })
}

// tellDay prints what was found, and turns failures into the command's end.
func (a *app) tellDay(t dailies.Told) error {
	err := a.say(t, func() error {
		rows := t.Rows()
		if rows == nil {
			return nil
		}
		err := a.table(rows)
		for _, line := range t.Lines() {
			fmt.Fprintln(a.stdout, plain.Text(line))
		}
		return err
	})
	if err != nil {
		return err
	}
	for _, failed := range t.Failed {
		fmt.Fprintln(a.stderr, "rollready:", plain.OneLine(errors.New(failed.String())))
	}
	if n := int64(len(t.Failed)); n > 0 {
		return errors.New(format.Plural(n, "file could not be read or written"))
	}
	return nil
}
