package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/rig"
	"rollready/dsp/figure"
	linetone "rollready/dsp/lineup/tone"
	"rollready/presets"
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
		Long: `Sends a tone to an output device until Ctrl-C. While it sounds, lines on stdin
step it: + and - by 1 dB, +N and -N by N dB, "reads DB" notes what the camera's
meter reads, "clips" that its clip mark has just lit, "stop" ends.
With --reads no tone is sent: what was read off the camera is only kept.

` + preparation,
		Example: `  rollready lineup tone --output "line out" --camera "b camera"
  rollready lineup tone --level -20 --reads -14 --camera "b camera" --mic-level "by hand, step 2"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return f.run(cmd.Context(), a, cmd.InOrStdin()) },
	}
	flags := cmd.Flags()
	flags.StringVar(&f.output, "output", "", "part of the output device's `NAME`, or its id; the default device without")
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
	level, err := decibels(f.level)
	if err != nil {
		return fmt.Errorf("--level: %w", err)
	}
	settings := linetone.Settings{Hz: f.hz, LevelDBFS: level, Ident: f.ident}
	if err := settings.Check(); err != nil {
		return err
	}
	found := toneFound{level: level, reads: math.NaN(), clips: math.NaN()}
	if f.reads != "" || f.clips != "" {
		if err := found.parse(f.reads, f.clips); err != nil {
			return err
		}
		if f.name == "" {
			return errors.New("--reads and --clips need a camera to keep them for: add --camera NAME")
		}
		found.volume = f.volumeNow(a)
		return f.store(a, found)
	}
	if found, err = f.sound(ctx, a, in, settings); err != nil || !found.any() {
		return err
	}
	return f.store(a, found)
}

// toneFound is what was read off the camera; NaN: not.
type toneFound struct {
	level  float64 // of the tone when its reading was taken
	reads  float64
	clips  float64        // level of the tone at which the clip mark lit
	volume presets.Volume // of the output when it was read
}

func (t toneFound) any() bool { return !math.IsNaN(t.reads) || !math.IsNaN(t.clips) }

func (t *toneFound) parse(reads, clips string) (err error) {
	if reads != "" {
		if t.reads, err = meterLevel(reads); err != nil {
			return fmt.Errorf("--reads: %w", err)
		}
	}
	if clips != "" {
		if t.clips, err = decibels(clips); err != nil {
			return fmt.Errorf("--clips: %w", err)
		}
	}
	return nil
}

// volumeNow is the volume of the output named, or of the one the camera was
// lined up with before.
func (f *toneFlags) volumeNow(a *app) presets.Volume {
	with := f.with
	if c, err := a.store().Cameras.Load(f.name); with == "" && err == nil {
		with = c.LinedUpWith
	}
	if with == "" {
		return presets.Volume{}
	}
	v := outputVolume(with)
	if v.Known {
		fmt.Fprintf(a.stderr, "the system has %q at %s now: kept with the reading\n", with, v)
	}
	return v
}

// store keeps offset and clip point. A result from a clip no longer holds.
func (f *toneFlags) store(a *app, found toneFound) error {
	if f.name == "" {
		figure.Fprintf(a.stderr, "not kept: give --camera NAME; reads %g dBFS at %g dBFS output\n", found.reads, found.level)
		return nil
	}
	f.volume = found.volume
	return f.keep(a, func(c *presets.Camera) {
		if !math.IsNaN(found.reads) {
			c.Scale.OffsetDB = found.reads - found.level
			c.LineUp = nil
		}
		if !math.IsNaN(found.clips) {
			c.Scale.ClipDBFS = min(found.clips+c.Scale.OffsetDB, 0)
		}
	})
}

// sound sends the tone, rising from low, and takes lines from in.
func (f *toneFlags) sound(ctx context.Context, a *app, in io.Reader, wanted linetone.Settings) (toneFound, error) {
	found := toneFound{reads: math.NaN(), clips: math.NaN()}
	system := device.NewSystem(nil)
	defer system.Close()
	line := rig.NewLine(system, nil)
	if err := line.Tone(f.output, wanted); err != nil {
		return found, err
	}
	defer line.Stop()
	printPreparation(a.stderr)
	f.with = line.State().Output
	figure.Fprintf(a.stderr, "%g Hz at %g dBFS to %q, rising over two seconds; + and - step it, \"reads DB\", \"clips\", stop\n", wanted.Hz, wanted.LevelDBFS, f.with)
	s := &stepper{settings: wanted, found: found, out: a.stderr, line: line}
	lines := readLines(ctx, in)
	begun := time.Now()
	volume := volumeTeller{to: a.stderr, name: f.with, begun: begun}
	_, err := followLine(ctx, line, func(now rig.LineState) (done bool) {
		volume.tell(now.Volume)
		over := f.seconds > 0 && time.Since(begun).Seconds() >= f.seconds
		return s.take(lines) || over
	})
	return s.found, err
}
