package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/dailies"
	"rollready/capture/dailies/page"
	"rollready/capture/dailies/timeline"
	"rollready/capture/survey"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
	"rollready/presets"
	"rollready/presets/whole"
)

// syncFlags are those of sync.
type syncFlags struct {
	takesFlag
	out, tracks, names string
	dryRun, json, mend bool
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
  rollready sync "card/*.mp4" --out synced --names "{date}_{clip}"`,
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
	flags.StringVar(&f.tracks, "tracks", "all", "`WHICH` tracks of the takes: processed, input, safety, or several with commas; all")
	flags.StringVar(&f.names, "names", dailies.DefaultPattern, "`PATTERN` of names, of {clip}, {scene}, {take}, {date} and {time}")
	flags.BoolVar(&f.mend, "mend", false, "also write the camera's sound, with only its bad stretches out of the take")
	flags.BoolVar(&f.dryRun, "dry-run", false, "show the plan and write nothing")
	flags.BoolVar(&f.json, "json", false, "one JSON object")
	return cmd
}

func (f *syncFlags) run(ctx context.Context, a *app, cards []string) error {
	write, err := f.options(a)
	if err != nil {
		return err
	}
	find, err := f.paths(a, cards)
	if err != nil {
		return err
	}
	find.Keep = write.Keep
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
	return f.tell(a, day, plan)
}

// options checks what was asked for, before the work.
func (f *syncFlags) options(a *app) (o dailies.WriteOptions, err error) {
	if f.out == "" && !f.dryRun {
		return o, errors.New("say where the sound goes: --out DIR, or look first with --dry-run")
	}
	if info, err := os.Stat(f.out); err == nil && !info.IsDir() {
		return o, fmt.Errorf("--out %s is a file: name a folder", f.out)
	}
	if err := dailies.CheckPattern(f.names); err != nil {
		return o, fmt.Errorf("--names %q: %w", f.names, err)
	}
	roles, err := parseRoles(f.tracks)
	if err != nil {
		return o, err
	}
	dir := a.config
	if dir == "" {
		dir = presets.DefaultDir()
	}
	return dailies.WriteOptions{Dir: f.out, Pattern: f.names, Roles: roles, Mend: f.mend, Keep: filepath.Join(dir, "dailies")}, nil
}

func parseRoles(text string) (roles []verdict.Role, err error) {
	if text == "all" {
		return nil, nil
	}
	for _, word := range strings.Split(text, ",") {
		role := verdict.Role(strings.TrimSpace(word))
		if !slices.Contains([]verdict.Role{verdict.Processed, verdict.Raw, verdict.Safety}, role) {
			return nil, fmt.Errorf("--tracks %q: choose processed, input, safety, several with commas, or all", text)
		}
		roles = append(roles, role)
	}
	return roles, nil
}

// paths finds clips and takes; what lies among the takes or was written here
// before is no clip.
func (f *syncFlags) paths(a *app, cards []string) (o dailies.Options, err error) {
	if o.Takes, err = survey.Expand([]string{f.folder(a)}); err != nil {
		return o, fmt.Errorf("takes: %w", err)
	}
	clips, err := survey.Expand(cards)
	if err != nil {
		return o, err
	}
	if !someThere(o.Takes) {
		return o, fmt.Errorf("takes: there is no %s: give their folder with --takes DIR", f.folder(a))
	}
	if !someThere(clips) {
		return o, fmt.Errorf("there is no %s: put the card in, or name the folder of its clips", strings.Join(cards, ", "))
	}
	made := func(path string) bool { return f.out != "" && within(f.out, path) }
	o.Takes = slices.DeleteFunc(o.Takes, made)
	o.Clips = slices.DeleteFunc(clips, func(path string) bool {
		return made(path) || slices.ContainsFunc(o.Takes, func(take string) bool { return whole.Same(take, path) })
	})
	if len(o.Clips) == 0 {
		return o, errors.New("no clips left: the card holds only takes; give the folder of the camera's clips")
	}
	return o, nil
}

// someThere tells whether one of the files is there at all.
func someThere(paths []string) bool {
	return slices.ContainsFunc(paths, func(path string) bool {
		_, err := os.Lstat(path)
		return !errors.Is(err, fs.ErrNotExist)
	})
}

// within tells whether a file lies in a folder.
func within(dir, path string) bool {
	d, errDir := filepath.Abs(dir)
	p, errPath := filepath.Abs(path)
	rel, err := filepath.Rel(d, p)
	return errors.Join(errDir, errPath, err) == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
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
	var lock sync.Mutex
	line := "looking"
	stop := showProgress(a.stderr, func() string {
		lock.Lock()
		defer lock.Unlock()
		return line
	})
	return func(stage string, done, all int64) {
		lock.Lock()
		defer lock.Unlock()
		line = fmt.Sprintf("%s: %d of %d", stage, done, all)
	}, stop
}

// tell prints what was found, and turns failures into the command's end.
func (f *syncFlags) tell(a *app, day dailies.Day, plan []dailies.Output) error {
	print := f.printTable
	if f.json {
		print = printDay
	}
	if err := print(a, day, plan); err != nil {
		return err
	}
	for _, failed := range day.Failed {
		fmt.Fprintln(a.stderr, "rollready:", oneLine(errors.New(failureWords(failed))))
	}
	switch n := len(day.Failed); n {
	case 0:
		return nil
	case 1:
		return errors.New("1 file could not be read or written")
	default:
		return fmt.Errorf("%d files could not be read or written", n)
	}
}

// failureWords name the file once.
func failureWords(f dailies.Failure) string {
	if strings.Contains(f.Err, f.Path) {
		return f.Err
	}
	return f.Path + ": " + f.Err
}

func (f *syncFlags) printTable(a *app, day dailies.Day, plan []dailies.Output) error {
	if len(day.Clips) == 0 {
		return nil
	}
	c := newColumns(a.stdout, "clip", "length", "take", "in the take at", "covers", "clock", "alike at", "sound file")
	for i, k := range day.Clips {
		if len(k.Parts) == 0 {
			c.row(filepath.Base(k.Path), dailies.Clock(k.LengthS()), "none: "+k.Without())
		}
		for _, p := range k.Parts {
			c.row(filepath.Base(k.Path), dailies.Clock(k.LengthS()), filepath.Base(p.Take.Path), figure.Sprintf("%.4f s", p.TakeS(k.Recording, 0)),
				dailies.Clock(p.FromS(k.Recording))+"–"+dailies.Clock(p.ToS(k.Recording)), figure.Sprintf("%+.2f ppm", p.Fit.PPM),
				fmt.Sprintf("%d of %d places", p.Fit.Agreeing, p.Fit.Places), f.fileWords(plan, i))
		}
	}
	if err := c.print(); err != nil {
		return err
	}
	for i, k := range day.Clips {
		f.printHeard(a, k, slices.ContainsFunc(plan, func(o dailies.Output) bool { return o.Clip == i && o.Mended }))
	}
	for _, t := range day.Alone() {
		fmt.Fprintf(a.stdout, "%s: a take without a clip\n", plain.Text(filepath.Base(t.Path)))
	}
	return nil
}

// printHeard tells what is bad in the camera's sound, second by second.
func (f *syncFlags) printHeard(a *app, c dailies.Clip, mended bool) {
	say := func(what string) { fmt.Fprintf(a.stdout, "%s: %s\n", plain.Text(filepath.Base(c.Path)), what) }
	for _, p := range c.Parts {
		for _, j := range p.Fit.Jumps {
			say("the camera's sound has " + c.Lost(j))
		}
	}
	if c.Heard == nil {
		return
	}
	for i, s := range c.Heard.Stretches {
		if left := len(c.Heard.Stretches) - i; i == mostTold && left > 1 {
			say(fmt.Sprintf("and %d stretches more: day.html tells each", left))
			return
		}
		say(c.Told(s, mended && !f.dryRun))
	}
}

// mostTold is how many stretches of a clip are printed.
const mostTold = 5

// fileWords names what is written for a clip.
func (f *syncFlags) fileWords(plan []dailies.Output, clip int) string {
	var all []string
	for _, o := range plan {
		word := filepath.Base(o.Path)
		switch {
		case o.Clip != clip:
			continue
		case o.Done:
			word += " (there already)"
		case f.dryRun:
			word += " (to be written)"
		}
		all = append(all, word)
	}
	return strings.Join(all, ", ")
}

// printDay prints one JSON object.
func printDay(a *app, day dailies.Day, plan []dailies.Output) error {
	return printJSON(a.stdout, struct {
		dailies.Day
		Alone   []dailies.Recording `json:"takes_without_clip"`
		Outputs []dailies.Output    `json:"outputs"`
	}{day, day.Alone(), plan})
}
