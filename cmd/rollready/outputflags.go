package main

import (
	"github.com/spf13/cobra"

	"rollready/capture/rig"
)

// outputFlags choose where the sound goes. Without them it goes where it went
// last time.
type outputFlags struct {
	headphones, toCamera string
}

func (f *outputFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.headphones, "headphones", "", "headphones: part of the output's `NAME`, id or off; starts muted")
	cmd.Flags().StringVar(&f.toCamera, "camera-output", "", "to the camera: part of the output's `NAME`, id or off; sounds at once")
}

func (f *outputFlags) asked() (by [2]string) {
	by[rig.Headphones], by[rig.CameraInput] = f.headphones, f.toCamera
	return by
}
