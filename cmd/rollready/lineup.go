package main

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"rollready/dsp/camera"
	"rollready/dsp/figure"
	"rollready/dsp/gainplan"
	"rollready/presets"
)

func newLineup(a *app) *cobra.Command {
	cmd := group("lineup", "Find out what a camera does to sound", newLineupTone(a), newLineupSend(a), newLineupRead(a), newLineupPlan(a))
	cmd.Long = `Lines the camera's meter up with ours. In short: lineup tone, and type what the
camera's meter reads. In depth: start the camera recording, lineup send, then
give the clip to lineup read.

` + preparation
	return cmd
}

// preparation is what to do before anything is sent.
const preparation = `Before: camera's auto level off, its mic level at the lowest setting, pad in,
output low. Raise from there.`

// printPreparation tells what to do and to heed before sound is sent.
func printPreparation(w io.Writer) {
	fmt.Fprintln(w, preparation)
	for _, line := range gainplan.Cautions() {
		fmt.Fprintln(w, "  -", line)
	}
}

// profile is what the line-up commands write into a camera's profile beside
// their figures.
type profile struct {
	name, micLevel, cable, with string
	volume                      presets.Volume // of the output the camera was lined up with
}

func (p *profile) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&p.name, "camera", "", "keep the result in the profile of the camera `NAME`")
	flags.StringVar(&p.micLevel, "mic-level", "", "the camera's mic-level setting now, as a `TEXT`")
	flags.StringVar(&p.cable, "cable", "", "cable, pad and DC block in use, as a `TEXT`")
}

// keep changes the camera's profile, or begins it.
func (p *profile) keep(a *app, change func(*presets.Camera)) error {
	cameras := a.store().Cameras
	c, err := cameras.Load(p.name)
	if errors.Is(err, presets.ErrNotFound) {
		c, err = presets.Camera{Name: p.name, Scale: camera.Default}, nil
	}
	if err != nil {
		return err
	}
	for _, text := range []struct{ given, kept *string }{
		{&p.micLevel, &c.MicLevel}, {&p.cable, &c.Cable}, {&p.with, &c.LinedUpWith}} {
		if *text.given != "" {
			*text.kept = *text.given
		}
	}
	c.LinedUpVolume = p.volume
	c.LinedUp, c.LinedUpPreset = time.Now(), a.settings(a.store()).Preset
	change(&c)
	if err := cameras.Save(c); err != nil {
		return err
	}
	figure.Fprintf(a.stderr, "kept in camera %q: reads output %+.1f dB, clips at %.1f dBFS\n", p.name, c.Scale.OffsetDB, c.Scale.ClipDBFS)
	if !c.LinedUpVolume.Known {
		fmt.Fprintln(a.stderr, "the output's volume then is unknown: nothing will warn when it changes")
	}
	if c.MicLevel == "" {
		fmt.Fprintf(a.stderr, "note the camera's mic-level setting too: rollready camera save %q --mic-level TEXT\n", p.name)
	}
	return nil
}
