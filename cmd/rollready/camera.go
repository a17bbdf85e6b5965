package main

import (
	"cmp"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/presets"
)

func newCamera(a *app) *cobra.Command {
	s := shelf[presets.Camera]{app: a, what: "camera",
		of:   func(s *presets.Store) *presets.Shelf[presets.Camera] { return s.Cameras },
		used: func(s *presets.Settings) *string { return &s.CameraName }}
	return group("camera", "Keep cameras: their scale and what to set on them", append(s.commands(), saveCamera(s), compareCameras(s))...)
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
		x, err := db.Parse(f.offset)
		if err := cmp.Or(err, rig.SetOffset(c, x)); err != nil {
			return fmt.Errorf("--offset: %w", err)
		}
	}
	if given("clip") {
		dbfs, err := camera.ParseLevel(f.clip)
		if err := cmp.Or(err, rig.SetClip(c, dbfs)); err != nil {
			return fmt.Errorf("--clip: %w", err)
		}
	}
	if given("target") {
		low, high, err := camera.ParseWindow(f.target)
		if err := cmp.Or(err, rig.SetTarget(c, low, high)); err != nil {
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

// compareCameras sets two profiles side by side.
func compareCameras(s shelf[presets.Camera]) *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{Use: "compare NAME OTHER", Short: "Set two cameras, or two line-ups of one, side by side", Args: exactly(2),
		RunE: func(_ *cobra.Command, args []string) error {
			cameras := s.open()
			var two [2]presets.Camera
			for i, name := range args {
				var err error
				if two[i], err = cameras.Load(name); err != nil {
					return explain(err, "camera")
				}
			}
			if asJSON {
				return printJSON(s.app.stdout, map[string]any{"cameras": []any{two[0].JSON(), two[1].JSON()}})
			}
			return s.app.table(two[0].Beside(two[1]))
		}}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object")
	return cmd
}
