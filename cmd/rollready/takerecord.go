package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
	"rollready/capture/take"
	"rollready/presets"
	"rollready/tui/lines"
)

// takeRecordFlags are those of take record.
type takeRecordFlags struct {
	listenFlags
	takesFlag
	scene, note, pattern, encoding string
	take                           int
	seconds, before                float64
	noInput, safety, roomTone      bool
}

func newTakeRecord(a *app) *cobra.Command {
	f := &takeRecordFlags{}
	cmd := &cobra.Command{Use: "record", Short: "Record one take",
		Long: `Records one take as a Broadcast WAV: the processed tracks first, then the raw
input, then the safety track if asked for. It ends after --seconds, at the end
of a file, or with ctrl-c. Where the input comes to deliver another format, the
take ends and the next goes on. Existing files are never overwritten.`,
		Example: `  rollready take record --takes harbour --scene 12A
  rollready take record --takes harbour --scene 12A --room-tone
  rollready take record --input lavalier --high-pass 80/24 --seconds 60 --safety`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return f.run(cmd.Context(), a) }}
	f.listenFlags.add(cmd)
	f.takesFlag.add(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.scene, "scene", "1", "`SCENE`, as on the slate")
	flags.IntVar(&f.take, "take", 0, "take `NUMBER`; 0: the next")
	flags.StringVar(&f.note, "note", "", "`TEXT` that goes with the take")
	flags.StringVar(&f.pattern, "pattern", take.DefaultPattern, "`PATTERN` of names; also {date}, {time}")
	flags.StringVar(&f.encoding, "encoding", "24", "`BITS`: 16, 24 or float")
	flags.Float64Var(&f.seconds, "seconds", 0, "stop after `N` seconds; 0: with ctrl-c")
	flags.Float64Var(&f.before, "before", 0, "listen for `N` seconds first, at most 60, and begin the take with them")
	flags.BoolVar(&f.noInput, "no-input", false, "leave out the raw input tracks")
	flags.BoolVar(&f.safety, "safety", false, "add the processed sound 10 dB lower")
	flags.BoolVar(&f.roomTone, "room-tone", false, "record 30 s of the quiet of the place, named so")
	a.jsonFlag(cmd, "print the take as one JSON object; were there several, each on a line")
	return cmd
}

// recording is what the flags ask of the recorder.
func (f *takeRecordFlags) recording(a *app) (set presets.Recording, err error) {
	set = presets.DefaultSettings().Recording
	switch {
	case !slices.Contains(presets.Encodings[:], f.encoding):
		return set, fmt.Errorf("--encoding %q: choose 16, 24 or float", f.encoding)
	case !(f.seconds >= 0):
		return set, fmt.Errorf("--seconds %g: choose 0 or more", f.seconds)
	case !(f.before >= 0 && f.before <= 60):
		return set, fmt.Errorf("--before %g: choose 0 to 60 seconds", f.before)
	case f.take < 0 || f.take > 99999:
		return set, fmt.Errorf("--take %d: choose 1 to 99999, or 0 for the next", f.take)
	}
	if err := take.CheckScene(f.scene); err != nil {
		return set, err
	}
	if err := take.CheckPattern(f.pattern); err != nil {
		return set, fmt.Errorf("--pattern %q: %w", f.pattern, err)
	}
	set.Dir, set.Names, set.Encoding, set.NoInput, set.Safety, set.PreRecordS = f.folder(a), f.pattern, f.encoding, f.noInput, f.safety, f.before
	return set, nil
}

func (f *takeRecordFlags) what() take.What {
	w := take.What{Scene: f.scene}
	if f.roomTone {
		w = take.RoomTone(f.scene)
	}
	if f.seconds > 0 {
		w.Seconds = f.seconds
	}
	w.Number, w.Note = f.take, f.note
	return w
}

func (f *takeRecordFlags) run(ctx context.Context, a *app) error {
	set, err := f.recording(a)
	if err != nil {
		return err
	}
	o, err := f.listening(a)
	if err != nil {
		return err
	}
	o.Settings.Recording = set
	var found []take.Found
	err = withRig(ctx, &o, rig.Record, func(r *rig.Rig) (err error) {
		found, err = f.record(ctx, a, r)
		return err
	})
	if err != nil {
		return err
	}
	if !a.json {
		return a.printTakes(found)
	}
	for _, t := range found {
		err = errors.Join(err, a.printJSON(t.Take.Listed()))
	}
	return err
}

// record rolls and waits for the end.
func (f *takeRecordFlags) record(ctx context.Context, a *app, r *rig.Rig) ([]take.Found, error) {
	if err := r.AwaitSound(ctx, time.Duration(f.before*float64(time.Second))); err != nil {
		return nil, err
	}
	if _, err := r.Roll(f.what()); err != nil {
		return nil, err
	}
	return lines.Roll(ctx, r, a.stderr)
}
