package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
	"rollready/dsp/db"
	"rollready/presets"
)

// readFlags are those of lineup read.
type readFlags struct {
	profile
	track  int
	volume string
}

func newLineupRead(a *app) *cobra.Command {
	f := &readFlags{}
	cmd := &cobra.Command{
		Use:   "read FILE",
		Short: "Measure the camera from its clip of the line-up sequence",
		Long: `Finds the line-up sequence anywhere in the clip's sound and tells what the
camera does to sound, and what to change. WAV and FLAC are read directly, other
files through ffmpeg where that is installed.`,
		Example: `  rollready lineup read clip.mp4 --camera "b camera" --mic-level "by hand, step 2"
  rollready lineup read clip.wav --json`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, a, args[0]) },
	}
	a.jsonFlag(cmd, "one JSON object")
	cmd.Flags().IntVar(&f.track, "track", 1, "of several sound tracks that of the `NUMBER`, from 1")
	cmd.Flags().StringVar(&f.with, "with", "", "`NAME` of the output the sequence was sent to")
	cmd.Flags().StringVar(&f.volume, "volume", "", "that output's volume then in `DB`, as lineup send told it")
	f.profile.add(cmd)
	return cmd
}

func (f *readFlags) run(cmd *cobra.Command, a *app, path string) error {
	if f.track < 1 {
		return fmt.Errorf("--track %d: tracks count from 1", f.track)
	}
	if err := f.check(a); err != nil {
		return err
	}
	if err := f.meant(a); err != nil {
		return err
	}
	if f.volume != "" {
		if f.name == "" {
			return errors.New("--volume is kept in a camera: add --camera NAME")
		}
		volume, err := db.Parse(f.volume)
		if err != nil {
			return fmt.Errorf("--volume: %w", err)
		}
		f.found.Volume = presets.VolumeOf(volume)
	}
	result, err := rig.MeasureClip(cmd.Context(), path, f.track)
	if err != nil {
		return err
	}
	err = a.say(result, func() error {
		_, err := fmt.Fprint(a.stdout, result.Text())
		return err
	})
	if err != nil || f.name == "" {
		return err
	}
	f.found.Clip(result)
	if err = f.keep(a); errors.Is(err, rig.ErrAutomaticLevel) { // the offset holds for nothing
		a.warn(fmt.Errorf("camera %q: %w", f.name, err))
		return errFinding
	}
	return err
}
