package main

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"rollready/presets"
)

// shelf makes the commands that presets and cameras have in common.
type shelf[T interface {
	Text() string
	JSON() any
}] struct {
	app  *app
	what string // "preset", "camera"
	of   func(*presets.Store) *presets.Shelf[T]
	used func(*presets.Settings) *string // the name that the settings hold
}

func (s shelf[T]) open() *presets.Shelf[T] { return s.of(s.app.store()) }

func (s shelf[T]) commands() []*cobra.Command {
	return []*cobra.Command{s.list(), s.show(), s.two("copy", "Copy one under a new name", (*presets.Shelf[T]).Copy),
		s.two("rename", "Give one a new name", s.rename),
		s.one("delete", "Delete one; undelete brings it back", (*presets.Shelf[T]).Delete),
		s.one("undelete", "Bring back the one last deleted under a name", (*presets.Shelf[T]).Undelete),
		s.export(), s.importing()}
}

func (s shelf[T]) list() *cobra.Command {
	cmd := &cobra.Command{Use: "list", Short: "List the names", Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			names, err := s.open().List()
			if err != nil {
				return err
			}
			return s.app.say(map[string][]string{s.what + "s": append([]string{}, names...)}, func() error {
				for _, name := range names {
					fmt.Fprintln(s.app.stdout, name)
				}
				return nil
			})
		}}
	s.app.jsonFlag(cmd, "one JSON object")
	return cmd
}

func (s shelf[T]) show() *cobra.Command {
	cmd := &cobra.Command{Use: "show NAME", Short: "Show one", Args: exactly(1),
		RunE: func(_ *cobra.Command, args []string) error {
			thing, err := s.open().Load(args[0])
			if err != nil {
				return explain(err, s.what)
			}
			return s.app.say(thing.JSON(), func() error {
				_, err := fmt.Fprint(s.app.stdout, thing.Text())
				return err
			})
		}}
	s.app.jsonFlag(cmd, "one JSON object")
	return cmd
}

func (s shelf[T]) one(verb, short string, do func(*presets.Shelf[T], string) error) *cobra.Command {
	return &cobra.Command{Use: verb + " NAME", Short: short, Args: exactly(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return explain(do(s.open(), args[0]), s.what)
		}}
}

func (s shelf[T]) two(verb, short string, do func(*presets.Shelf[T], string, string) error) *cobra.Command {
	return &cobra.Command{Use: verb + " NAME NEWNAME", Short: short, Args: exactly(2),
		RunE: func(_ *cobra.Command, args []string) error {
			return explain(do(s.open(), args[0], args[1]), s.what)
		}}
}

func (s shelf[T]) export() *cobra.Command {
	return &cobra.Command{Use: "export NAME FILE", Short: "Write one to a file of its own, to pass on; - is the terminal", Args: exactly(2),
		RunE: func(_ *cobra.Command, args []string) error {
			if args[1] == toStdout {
				raw, err := s.open().Text(args[0])
				if err == nil {
					_, err = s.app.stdout.Write(raw)
				}
				return explain(err, s.what)
			}
			err := s.open().Export(args[0], args[1])
			if errors.Is(err, presets.ErrExists) {
				return fmt.Errorf("%s exists: give FILE another name", args[1])
			}
			return explain(err, s.what)
		}}
}

func (s shelf[T]) importing() *cobra.Command {
	as := ""
	cmd := &cobra.Command{Use: "import FILE", Short: "Take one from a file, under the file's name or another", Args: exactly(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return explain(s.open().Import(args[0], cmp.Or(as, strings.TrimSuffix(filepath.Base(args[0]), ".toml"))), s.what)
		}}
	cmd.Flags().StringVar(&as, "as", "", "keep it under `NAME`")
	return cmd
}

// rename takes the settings along, so that the next start finds what it had.
func (s shelf[T]) rename(_ *presets.Shelf[T], from, to string) error {
	store := s.app.store()
	if err := s.of(store).Rename(from, to); err != nil {
		return err
	}
	settings, err := store.Settings()
	if used := s.used(&settings); err == nil && *used == from {
		*used = to
		err = store.SaveSettings(settings)
	}
	return err
}

// explain adds what to do to an error of a shelf.
func explain(err error, what string) error {
	switch {
	case errors.Is(err, presets.ErrNotFound):
		return fmt.Errorf("%w: see rollready %s list", err, what)
	case errors.Is(err, presets.ErrExists):
		return fmt.Errorf("%w: choose another, or delete that one first", err)
	}
	return err
}
