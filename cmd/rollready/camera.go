package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
	"rollready/presets"
	"rollready/tui/lines"
)

func newCamera(a *app) *cobra.Command {
	s := shelf[presets.Camera]{app: a, what: "camera",
		of:   func(s *presets.Store) *presets.Shelf[presets.Camera] { return s.Cameras },
		used: func(s *presets.Settings) *string { return &s.CameraName }}
	return group("camera", "Keep cameras: their scale and what to set on them", append(s.commands(), saveCamera(s), compareCameras(s))...)
}

func saveCamera(s shelf[presets.Camera]) *cobra.Command {
	var offset, clip, target, micLevel, cable string
	var remind []string
	skipCard := false
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
			asked := rig.CameraAsked{Offset: given(cmd, "offset", &offset), Clip: given(cmd, "clip", &clip), Target: given(cmd, "target", &target),
				MicLevel: given(cmd, "mic-level", &micLevel), Cable: given(cmd, "cable", &cable), Reminders: given(cmd, "remind", &remind), SkipCard: given(cmd, "skip-card", &skipCard)}
			if err := asked.On(&c); err != nil {
				return fmt.Errorf("--%w", err)
			}
			return cameras.Save(c)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&offset, "offset", "", "what the camera reads above our output, in `DB`")
	flags.StringVar(&clip, "clip", "", "where the camera clips, in `DBFS` on its own scale")
	flags.StringVar(&target, "target", "", "where speech peaks should sit, `LOW..HIGH` in dBFS on its own scale")
	flags.StringVar(&micLevel, "mic-level", "", "the mic level to dial in, as a `TEXT`")
	flags.StringVar(&cable, "cable", "", "cable, pad and DC block, as a `TEXT`")
	flags.StringArrayVar(&remind, "remind", nil, "a `TEXT` to be reminded of; repeat it for more; replaces those kept")
	flags.BoolVar(&skipCard, "skip-card", false, "do not show the reminders at the start")
	return cmd
}

// given is a flag's value where it is given, else nil.
func given[T any](cmd *cobra.Command, flag string, value *T) *T {
	if !cmd.Flags().Changed(flag) {
		return nil
	}
	return value
}

// compareCameras sets two profiles side by side.
func compareCameras(s shelf[presets.Camera]) *cobra.Command {
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
			return s.app.say(map[string]any{"cameras": []any{two[0].JSON(), two[1].JSON()}}, func() error { return s.app.table(lines.Folded(two[0].Beside(two[1]), 24)) })
		}}
	s.app.jsonFlag(cmd, "one JSON object")
	return cmd
}
