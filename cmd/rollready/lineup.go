package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/rig"
	"rollready/dsp/figure"
	"rollready/dsp/gainplan"
	"rollready/presets"
	"rollready/tui/lines"
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
		lines.Paragraph(w, "  - ", line)
	}
}

// profile is what the line-up commands write into a camera's profile beside
// their figures.
type profile struct {
	name, micLevel, cable, with string
	over                        presets.Output // the one that with names, or that was sent to
	fresh                       bool
	found                       rig.ReadOff
}

func (p *profile) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&p.name, "camera", "", "keep the result in the profile of the camera `NAME`")
	flags.BoolVar(&p.fresh, "new", false, "begin a profile of that name where there is none")
	flags.StringVar(&p.micLevel, "mic-level", "", "the camera's mic-level setting now, as a `TEXT`")
	flags.StringVar(&p.cable, "cable", "", "cable, pad and DC block in use, as a `TEXT`")
}

// check tells early that there is no such camera, or none for what belongs to one.
func (p *profile) check(a *app) error {
	if p.name == "" {
		if p.fresh || p.micLevel+p.cable+p.with != "" {
			return errors.New("--new, --mic-level, --cable and --with are kept in a camera: add --camera NAME")
		}
		return nil
	}
	_, err := rig.CameraProfile(a.store(), p.name, p.fresh)
	return err
}

// meant finds the output that was named.
func (p *profile) meant(a *app) (err error) {
	if p.over, err = device.NamedOutput(p.with); err != nil {
		return fmt.Errorf("--with: %w", err)
	}
	if p.over.Name != "" && p.over.Key == "" {
		fmt.Fprintf(a.stderr, "output %q is not there now: kept by this name\n", p.over.Name)
	}
	return nil
}

// keep changes the camera's profile by what was found.
func (p *profile) keep(a *app) error {
	store := a.store()
	c, err := rig.CameraProfile(store, p.name, p.fresh)
	if err == nil {
		c, err = p.found.Into(c, rig.Sent{Output: p.over, Preset: a.settings(store).Preset, At: time.Now()})
	}
	if err != nil {
		return err
	}
	c.MicLevel, c.Cable = cmp.Or(p.micLevel, c.MicLevel), cmp.Or(p.cable, c.Cable)
	if err := store.Cameras.Save(c); err != nil {
		return err
	}
	figure.Fprintf(a.stderr, "kept in camera %q: reads output %+.1f dB, clips at %.1f dBFS\n", p.name, c.Scale.OffsetDB, c.Scale.ClipDBFS)
	if !c.LinedUpVolume.Known {
		fmt.Fprintln(a.stderr, "the output's volume then is unknown: nothing will warn when it changes")
	}
	if c.MicLevel == "" || c.MicLevel == presets.NewCamera("").MicLevel {
		fmt.Fprintf(a.stderr, "note the camera's mic-level setting too: rollready camera save %q --mic-level TEXT\n", p.name)
	}
	return nil
}
