package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/rig"
	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/dsp/figure"
	linetone "rollready/dsp/lineup/tone"
	"rollready/presets"
	"rollready/tui/lines"
)

// toneFlags are those of lineup tone.
type toneFlags struct {
	profile
	output, level, reads, clips string
	hz, seconds                 float64
	ident                       bool
}

func newLineupTone(a *app) *cobra.Command {
	f := &toneFlags{}
	cmd := &cobra.Command{
		Use:   "tone",
		Short: "Send a steady tone to the camera, and keep what its meter reads",
		Long: `Sends a tone to an output device until Ctrl-C; it begins low and rises. While it
sounds, lines on stdin step it: + and - by 1 dB, +N and -N by N dB, "reads DB"
notes what the camera's meter reads, "clips" that its clip mark has just lit,
"stop" ends. With --reads no tone is sent: what was read off the camera is only
kept. Without --camera-output a terminal is asked before anything sounds.

` + preparation,
		Example: `  rollready lineup tone --camera-output "line out" --camera "b camera" --new
  rollready lineup tone --level -20 --reads -14 --camera "b camera" --mic-level "by hand, step 2"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return f.run(cmd.Context(), a, cmd.InOrStdin()) },
	}
	flags := cmd.Flags()
	flags.StringVar(&f.output, "camera-output", "", "part of the output device's `NAME`, or its id")
	flags.StringVar(&f.level, "level", "-20", "level of the tone in `DBFS`")
	flags.Float64Var(&f.hz, "frequency", linetone.Default.Hz, "frequency in `HZ`")
	flags.BoolVar(&f.ident, "ident", false, "interrupt the left side every 3 s, to tell it from the right")
	flags.Float64Var(&f.seconds, "seconds", 0, "stop after `N` seconds")
	flags.StringVar(&f.reads, "reads", "", "what the camera's meter reads, in `DBFS`: keep it, send nothing")
	flags.StringVar(&f.clips, "clips", "", "level of our tone at which the camera's clip mark lit, in `DBFS`")
	flags.StringVar(&f.with, "with", "", "`NAME` of the output the camera is lined up with, where nothing is sent")
	f.profile.add(cmd)
	return cmd
}

func (f *toneFlags) run(ctx context.Context, a *app, in io.Reader) error {
	if !(f.seconds >= 0) {
		return fmt.Errorf("--seconds %g: choose 0 or more", f.seconds)
	}
	level, err := db.Parse(f.level)
	if err != nil {
		return fmt.Errorf("--level: %w", err)
	}
	settings := linetone.Settings{Hz: f.hz, LevelDBFS: level, Ident: f.ident}
	if err := settings.Check(); err != nil {
		return err
	}
	if f.reads == "" && f.clips == "" {
		if err := f.check(a); err != nil {
			return err
		}
		return f.sound(ctx, a, in, settings)
	}
	if err := f.read(level); err != nil {
		return err
	}
	if f.name == "" {
		return errors.New("--reads and --clips need a camera to keep them for: add --camera NAME")
	}
	if err := f.meant(a); err != nil {
		return err
	}
	f.found.Volume = f.volumeNow(a)
	return f.keep(a)
}

// read takes what the flags say was read off the camera.
func (f *toneFlags) read(sentDBFS float64) error {
	if f.reads != "" {
		x, err := camera.ParseLevel(f.reads)
		if err := cmp.Or(err, f.found.Meter(sentDBFS, x)); err != nil {
			return fmt.Errorf("--reads: %w", err)
		}
	}
	if f.clips != "" {
		x, err := db.Parse(f.clips)
		if err := cmp.Or(err, linetone.Settings{Hz: f.hz, LevelDBFS: x}.Check()); err != nil {
			return fmt.Errorf("--clips: %w", err)
		}
		f.found.ClipMark(x)
	}
	return nil
}

// volumeNow is the volume of the output named, or of the one the camera was
// lined up with before.
func (f *toneFlags) volumeNow(a *app) presets.Volume {
	if c, err := a.store().Cameras.Load(f.name); err == nil && f.over.Name == "" {
		f.over = c.LinedUpWith
	}
	if f.over.Name == "" {
		return presets.Volume{}
	}
	v := device.OutputVolume(f.over)
	if v.Known {
		fmt.Fprintf(a.stderr, "the system has %q at %s now: kept with the reading\n", f.over.Name, v)
	}
	return v
}

// sound sends the tone, rising from low, takes lines from in and keeps what
// they tell.
func (f *toneFlags) sound(ctx context.Context, a *app, in io.Reader, wanted linetone.Settings) error {
	system := device.NewSystem(nil)
	defer system.Close()
	line, typed := rig.NewLine(system, nil), lines.Read(ctx, in)
	output, err := lines.Destination(ctx, line, f.output, in, typed, a.stderr)
	if err != nil {
		return err
	}
	if err := line.Tone(output, wanted); err != nil {
		return err
	}
	defer line.Stop()
	f.over = line.State().Output
	printPreparation(a.stderr)
	figure.Fprintf(a.stderr, "%g Hz at %g dBFS to %q, rising over two seconds; + and - step it, \"reads DB\", \"clips\", stop\n", wanted.Hz, wanted.LevelDBFS, f.over.Name)
	s := &lines.Stepper{Settings: wanted, Found: &f.found, Out: a.stderr, Line: line}
	begun := time.Now()
	volume := lines.VolumeTeller{To: a.stderr, Name: f.over.Name, Begun: begun}
	_, err = lines.Follow(ctx, line, func(now rig.LineState) (done bool) {
		volume.Tell(now.Volume)
		over := f.seconds > 0 && time.Since(begun).Seconds() >= f.seconds
		return s.Take(typed) || over
	})
	switch {
	case err != nil || f.found.None():
		return err
	case f.name == "":
		fmt.Fprintln(a.stderr, "not kept: give --camera NAME")
		return nil
	}
	return f.keep(a)
}
