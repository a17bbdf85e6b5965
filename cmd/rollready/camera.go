package main

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
	"rollready/dsp/camera"
	"rollready/dsp/figure"
	"rollready/dsp/lineup"
	"rollready/dsp/plain"
	"rollready/presets"
)

// cameraJSON is a camera profile that camera show --json prints.
type cameraJSON struct {
	Name        string         `json:"name"`
	Offset      figure.Figure  `json:"offset_db"`
	Clip        figure.Figure  `json:"clip_dbfs"`
	TargetLow   figure.Figure  `json:"target_low_dbfs"`
	TargetHigh  figure.Figure  `json:"target_high_dbfs"`
	LinedUp     *string        `json:"lined_up"`
	LinedUpWith string         `json:"lined_up_with"`
	Volume      figure.Figure  `json:"lined_up_volume_db"`
	Quietest    figure.Figure  `json:"lined_up_quietest_channel_db"`
	Preset      string         `json:"lined_up_preset"`
	MicLevel    string         `json:"mic_level"`
	Cable       string         `json:"cable"`
	Reminders   []string       `json:"reminders"`
	LineUp      *lineup.Result `json:"line_up"`
}

func newCamera(a *app) *cobra.Command {
	s := shelf[presets.Camera]{app: a, what: "camera",
		of:   func(s *presets.Store) *presets.Shelf[presets.Camera] { return s.Cameras },
		used: func(s *presets.Settings) *string { return &s.CameraName },
		text: cameraText, json: func(c presets.Camera) any { return newCameraJSON(c) }}
	return group("camera", "Keep cameras: their scale and what to set on them", append(s.commands(), saveCamera(s), compareCameras(s))...)
}

func newCameraJSON(c presets.Camera) cameraJSON {
	j := cameraJSON{Name: c.Name, Offset: figure.Figure(c.Scale.OffsetDB), Clip: figure.Figure(c.Scale.ClipDBFS),
		TargetLow: figure.Figure(c.Scale.TargetLowDBFS), TargetHigh: figure.Figure(c.Scale.TargetHighDBFS),
		LinedUpWith: c.LinedUpWith, Preset: c.LinedUpPreset, MicLevel: c.MicLevel, Cable: c.Cable, Reminders: append([]string{}, c.Reminders...), LineUp: c.LineUp}
	j.Volume, j.Quietest = c.LinedUpVolume.Figures()
	if !c.LinedUp.IsZero() {
		at := c.LinedUp.Format("2006-01-02T15:04:05Z07:00")
		j.LinedUp = &at
	}
	return j
}

func cameraText(c presets.Camera) string {
	text := figure.Sprintf("%s\n  reads output %+.1f dB, clips at %.1f dBFS, target %.1f to %.1f dBFS\n",
		plain.Text(c.Name), c.Scale.OffsetDB, c.Scale.ClipDBFS, c.Scale.TargetLowDBFS, c.Scale.TargetHighDBFS)
	if c.LinedUp.IsZero() {
		text += "  never lined up\n"
	} else {
		text += "  lined up " + c.LinedUp.Local().Format("2006-01-02 15:04")
		if c.LinedUpWith != "" {
			text += ", " + plain.Text(c.LinedUpWith)
		}
		text += ", volume " + c.LinedUpVolume.String() + "\n"
		if c.LinedUpPreset != "" {
			text += "  preset then: " + plain.Text(c.LinedUpPreset) + "\n"
		}
	}
	if c.MicLevel != "" {
		text += "  mic level: " + plain.Text(c.MicLevel) + "\n"
	}
	if c.Cable != "" {
		text += "  cable: " + plain.Text(c.Cable) + "\n"
	}
	for _, line := range c.Reminders {
		text += "  - " + plain.Text(line) + "\n"
	}
	if c.LineUp != nil {
		text += "\n" + lineupText(*c.LineUp)
	}
	return text
}

// cameraFlags are those of camera save.
type cameraFlags struct {
	offset, clip, target, micLevel, cable string
	remind                                []string
	skipCard                              bool
}

func saveCamera(s shelf[presets.Camera]) *cobra.Command {
	f := cameraFlags{}
	cmd := &cobra.Command{
		Use:   "save NAME",
		Short: "Keep a camera, or change what is given of one",
		Example: `  rollready camera save "b camera" --mic-level "by hand, menu 3" --remind "auto level off"
  rollready camera save "b camera" --offset -10.5 --clip -0.5 --target -14..-8`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			cameras := s.open()
			c, err := cameras.Load(args[0])
			if errors.Is(err, presets.ErrNotFound) {
				c, err = presets.NewCamera(args[0]), nil
			}
			if err != nil {
				return err
			}
			if err := f.change(cmd, &c); err != nil {
				return err
			}
			return cameras.Save(c)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.offset, "offset", "", "what the camera reads above our output, in `DB`")
	flags.StringVar(&f.clip, "clip", "", "where the camera clips, in `DBFS` on its own scale")
	flags.StringVar(&f.target, "target", "", "where speech peaks should sit, `LOW..HIGH` in dBFS on its own scale")
	flags.StringVar(&f.micLevel, "mic-level", "", "the mic level to dial in, as a `TEXT`")
	flags.StringVar(&f.cable, "cable", "", "cable, pad and DC block, as a `TEXT`")
	flags.StringArrayVar(&f.remind, "remind", nil, "a `TEXT` to be reminded of; repeat it for more; replaces those kept")
	flags.BoolVar(&f.skipCard, "skip-card", false, "do not show the reminders at the start")
	return cmd
}

// change sets what the flags give.
func (f cameraFlags) change(cmd *cobra.Command, c *presets.Camera) error {
	given := cmd.Flags().Changed
	if given("offset") {
		db, err := decibels(f.offset)
		if err := cmp.Or(err, rig.SetOffset(c, db)); err != nil {
			return fmt.Errorf("--offset: %w", err)
		}
	}
	if given("clip") {
		dbfs, err := meterLevel(f.clip)
		if err := cmp.Or(err, rig.SetClip(c, dbfs)); err != nil {
			return fmt.Errorf("--clip: %w", err)
		}
	}
	if given("target") {
		if err := setTarget(f.target, c); err != nil {
			return fmt.Errorf("--target: %w", err)
		}
	}
	if given("mic-level") {
		c.MicLevel = f.micLevel
	}
	if given("cable") {
		c.Cable = f.cable
	}
	if given("remind") {
		c.Reminders = f.remind
	}
	if given("skip-card") {
		c.SkipCard = f.skipCard
	}
	return nil
}

func setTarget(text string, c *presets.Camera) error {
	low, high, ok := strings.Cut(text, "..")
	if !ok {
		return fmt.Errorf("%q is no window: write it like -12..-6", text)
	}
	from, errLow := meterLevel(low)
	to, errHigh := meterLevel(high)
	return cmp.Or(errLow, errHigh, rig.SetTarget(c, from, to))
}

// camera gives the camera that was named, or the one last used in the
// monitor, which may be gone: then it is one that was never lined up.
func (a *app) camera(named, kept string, store *presets.Store) (presets.Camera, error) {
	name := named
	if name == "" {
		name = kept
	}
	if name == "" {
		return presets.Camera{Scale: camera.Default}, nil
	}
	c, err := store.Cameras.Load(name)
	if err != nil && named != "" {
		return c, explain(err, "camera")
	}
	if err != nil {
		a.warn(explain(err, "camera"))
		c = presets.Camera{Name: name, Scale: camera.Default}
	}
	return c, nil
}
