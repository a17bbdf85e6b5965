package main

import (
	"errors"
	"os"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/session"
	"rollready/presets"
)

// monitorFlags are those of rollready without a command.
type monitorFlags struct {
	chainFlags
	inputFlags
	outputFlags
	camera string
}

func addMonitor(a *app, root *cobra.Command) {
	f := &monitorFlags{}
	f.chainFlags.add(root)
	f.inputFlags.add(root)
	f.outputFlags.add(root)
	root.Flags().StringVar(&f.camera, "camera", "", "the camera in use, by `NAME`")
	root.RunE = func(*cobra.Command, []string) error { return f.run(a) }
}

// monitor is the live monitor with everything running but the screen.
type monitor struct {
	app      *app
	system   *device.System
	store    *presets.Store
	keeper   *presets.Keeper
	session  *session.Session
	sound    *sound
	settings presets.Settings
	camera   presets.Camera
	notices  []string // what the user must know at the start
}

// run opens the monitor. What the flags choose is kept, like every change on
// the screen.
func (f *monitorFlags) run(a *app) (err error) {
	if !isatty.IsTerminal(os.Stdin.Fd()) || !isatty.IsTerminal(os.Stdout.Fd()) {
		return errors.New("the monitor needs a terminal: run it in one, or use rollready watch")
	}
	m := &monitor{app: a, system: device.NewSystem()}
	defer m.system.Close()
	// Behind a screen nobody reads stderr.
	a.warn = func(err error) {
		if err != nil {
			m.notices = append(m.notices, oneLine(err))
		}
	}
	m.store = a.store()
	kept := a.settings(m.store)
	if m.settings, m.camera, err = f.apply(a, kept, m.store); err != nil {
		return err
	}
	in, err := f.inputFlags.choose(a, kept, m.system)
	if err != nil {
		return err
	}
	view := m.settings.View
	view.Camera = m.camera.Scale
	m.session, err = session.Open(session.Options{Open: in.open, Fallback: in.fallback, Expect: in.expect,
		Pick: in.pick, Chain: m.settings.Chain, View: view})
	if err != nil {
		return explainInput(err)
	}
	defer m.session.Close()
	m.sound = &sound{system: m.system, session: m.session}
	defer m.sound.close()
	if err := m.openOutputs(&f.outputFlags); err != nil {
		return err
	}
	m.settings.Input, m.settings.Channels = in.choice, string(in.pick)
	if status := m.session.Status(); status.Kind == capture.Device {
		m.settings.InputName = status.Source
	}
	m.keeper = m.store.Keep(kept)
	m.keeper.Set(m.settings)
	err = showMonitor(m, m.switchInput)
	return errors.Join(err, m.keeper.Close())
}

// apply combines the flags with what is kept.
func (f *monitorFlags) apply(a *app, s presets.Settings, store *presets.Store) (presets.Settings, presets.Camera, error) {
	chain, err := f.chainFlags.settings(s.Chain, store.Presets)
	if err != nil {
		return s, presets.Camera{}, err
	}
	s.Chain = chain
	if f.preset != "" {
		s.Preset = f.preset
	}
	camera, err := a.camera(f.camera, s.CameraName, store)
	s.CameraName = camera.Name
	return s, camera, err
}

// switchInput changes to another input while the monitor runs.
func (m *monitor) switchInput(input, channels string) error {
	pick, err := capture.ParsePick(channels)
	if err != nil {
		return err
	}
	open, _ := m.app.opener(input, "", m.system)
	return m.session.Switch(open, pick)
}
