package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/power"
	"rollready/capture/rescue"
	"rollready/capture/rig/deck"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/presets"
)

// monitorFlags are those of rollready without a command.
type monitorFlags struct {
	chainFlags
	inputFlags
	outputFlags
	camera, takes string
}

func addMonitor(a *app, root *cobra.Command) {
	f := &monitorFlags{}
	f.chainFlags.add(root)
	f.inputFlags.add(root)
	f.outputFlags.add(root)
	root.Flags().StringVar(&f.camera, "camera", "", "the camera in use, by `NAME`")
	root.Flags().StringVar(&f.takes, "takes", "", "`DIR` for the takes")
	root.RunE = func(cmd *cobra.Command, _ []string) error { return f.run(cmd.Context(), a) }
}

// monitor is the live monitor with everything running but the screen.
type monitor struct {
	app      *app
	rescue   *rescue.Rescue
	system   *device.System
	store    *presets.Store
	keeper   *presets.Keeper
	session  *session.Session
	sound    *sound
	deck     *deck.Deck
	settings presets.Settings
	camera   presets.Camera
	notices  []string // what the user must know at the start
}

// run opens the monitor. What the flags choose is kept, like every change on
// the screen.
func (f *monitorFlags) run(ctx context.Context, a *app) (err error) {
	if !isatty.IsTerminal(os.Stdin.Fd()) || !isatty.IsTerminal(os.Stdout.Fd()) {
		return errors.New("the monitor needs a terminal: run it in one, or use rollready watch")
	}
	m := newMonitor(a)
	defer m.system.Close()
	kept := a.settings(m.store)
	if m.settings, m.camera, err = f.apply(a, kept, m.store); err != nil {
		return err
	}
	in, err := f.inputFlags.choose(a, kept, m.system)
	if err != nil {
		return err
	}
	return m.run(ctx, in, kept, &f.outputFlags)
}

func newMonitor(a *app) *monitor {
	last := &rescue.Rescue{}
	m := &monitor{app: a, rescue: last, system: device.NewSystem(last.Go)}
	// Behind a screen nobody reads stderr.
	a.warn = func(err error) {
		if err != nil {
			m.notices = append(m.notices, oneLine(err))
		}
	}
	m.store = a.store()
	return m
}

// run shows the monitor on an input until the user quits; kept are the
// settings on the disk.
func (m *monitor) run(ctx context.Context, in input, kept presets.Settings, outputs *outputFlags) (err error) {
	view := m.settings.View
	view.Camera = m.camera.Scale
	m.session, err = session.Open(session.Options{Open: in.open, Fallback: in.fallback, Expect: in.expect,
		Pick: in.pick, Chain: m.settings.Chain, View: view, Go: m.rescue.Go})
	if err != nil {
		return explainInput(err)
	}
	defer m.session.Close()
	m.sound = &sound{system: m.system, session: m.session}
	defer m.sound.close()
	if err := m.openOutputs(outputs); err != nil {
		return err
	}
	m.settings.Input, m.settings.Channels = in.choice, string(in.pick)
	if status := m.session.Status(); status.Kind == capture.Device {
		m.settings.InputName = status.Source
	}
	m.deck, err = deck.Open(m.session, m.settings.Recording, m.camera.Scale, power.Read)
	if err != nil {
		return err
	}
	m.rescue.Add(m.deck.Close)
	// Asked to end, the take is closed at once: the screen may be hanging.
	defer context.AfterFunc(ctx, func() {
		defer m.rescue.Recover()
		_ = m.deck.Close()
	})()
	m.keeper = m.store.Keep(kept, m.rescue.Go)
	m.rescue.Add(m.keeper.Close)
	m.keeper.Set(m.settings)
	err = showMonitor(m, m.switchInput)
	return errors.Join(err, m.deck.Close(), m.keeper.Close())
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
	if f.takes != "" {
		if s.Recording.Dir, err = filepath.Abs(f.takes); err != nil {
			return s, presets.Camera{}, err
		}
	}
	camera, err := a.camera(f.camera, s.CameraName, store)
	s.CameraName = camera.Name
	return s, camera, err
}

// switchInput changes to another input while the monitor runs. What was heard
// of the one before does not go into the next take.
func (m *monitor) switchInput(input, channels string) error {
	pick, err := capture.ParsePick(channels)
	if err != nil {
		return err
	}
	if m.deck.Status().Rolling {
		return take.ErrRolling
	}
	open, _ := m.app.opener(input, "", m.system)
	if err := m.session.Switch(open, pick); err != nil {
		return err
	}
	return m.deck.Forget()
}
