package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/presets"
)

func newPreset(a *app) *cobra.Command {
	s := shelf[presets.Preset]{app: a, what: "preset",
		of:   func(s *presets.Store) *presets.Shelf[presets.Preset] { return s.Presets },
		used: func(s *presets.Settings) *string { return &s.Preset }}
	return group("preset", "Keep chain settings under a name", append(s.commands(), savePreset(s))...)
}

func savePreset(s shelf[presets.Preset]) *cobra.Command {
	flags, note, replace := chainFlags{}, "", false
	cmd := &cobra.Command{
		Use:   "save NAME",
		Short: "Keep a chain under a name",
		Long: `Keeps the chain given by the flags, the rest being off. Without chain flags it is
the chain as last set in the monitor.`,
		Example: `  rollready preset save "kitchen interview" --high-pass 80/24 --note "fridge behind her"
  rollready preset save "harbour wall" --preset "outdoor wind" --gain -3`,
		Args: exactly(1),
		RunE: func(_ *cobra.Command, args []string) error {
			store := s.app.store()
			settings := s.app.settings(store)
			set, err := flags.settings(settings.Strips, store.Presets)
			if err != nil {
				return err
			}
			p := presets.Preset{Name: args[0], Note: note, Strips: set}
			if replace {
				return store.Presets.Save(p)
			}
			err = store.Presets.Add(p)
			if errors.Is(err, presets.ErrExists) {
				return fmt.Errorf("%w: choose another, or add --replace", err)
			}
			return err
		},
	}
	flags.add(cmd)
	cmd.Flags().StringVar(&note, "note", "", "a `TEXT` to know it by")
	cmd.Flags().BoolVar(&replace, "replace", false, "take the place of one of that name")
	return cmd
}
