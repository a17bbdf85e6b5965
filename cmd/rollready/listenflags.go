package main

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/rescue"
	"rollready/capture/rig"
)

// listenFlags choose what is heard, through which chain, and on which camera's
// scale it is judged: those of every command that listens.
type listenFlags struct {
	chainFlags
	inputFlags
	camera string
}

func (f *listenFlags) add(cmd *cobra.Command) {
	f.chainFlags.add(cmd)
	f.inputFlags.add(cmd)
	cmd.Flags().StringVar(&f.camera, "camera", "", "the camera in use, by `NAME`: levels are placed on its scale")
}

// listening combines the flags with what is kept.
func (f *listenFlags) listening(a *app) (o rig.Options, err error) {
	o.Store, o.Warn, o.Fits = a.store(), a.warn, f.chainFlags.fits
	o.Kept = a.settings(o.Store)
	o.Settings = o.Kept
	if o.Settings.Strips, err = f.chainFlags.settings(o.Kept.Strips, o.Store.Presets); err != nil {
		return o, err
	}
	if f.preset != "" {
		o.Settings.Preset = f.preset
	}
	if o.Camera, err = a.camera(f.camera, o.Kept.CameraName, o.Store); err != nil {
		return o, err
	}
	o.Settings.CameraName = o.Camera.Name
	o.Input, err = f.inputFlags.choose(o.Kept)
	return o, err
}

// withRig opens a rig, does something with it and closes it: in good order also
// after a mistake of ours.
func withRig(ctx context.Context, o *rig.Options, open func(context.Context, rig.Options) (*rig.Rig, error), do func(*rig.Rig) error) (err error) {
	o.Rescue = &rescue.Rescue{}
	defer o.Rescue.Recover()
	o.System = device.NewSystem(o.Rescue.Go)
	defer o.System.Close()
	r, err := open(ctx, *o)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	return do(r)
}
