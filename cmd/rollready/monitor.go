package main

import (
	"errors"

	"github.com/spf13/cobra"
)

// monitorFlags are those of rollready without a command.
type monitorFlags struct {
	chainFlags
	inputFlags
	camera string
}

func addMonitor(a *app, root *cobra.Command) {
	f := &monitorFlags{}
	f.chainFlags.add(root)
	f.inputFlags.add(root)
	root.Flags().StringVar(&f.camera, "camera", "", "the camera `NAME`")
	root.RunE = func(cmd *cobra.Command, _ []string) error { return f.run(a) }
}

func (f *monitorFlags) run(a *app) error {
	return errors.New("the monitor needs a terminal: use rollready watch")
}
