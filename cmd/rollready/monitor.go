package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"rollready/capture/rescue"
	"rollready/capture/rig"
	"rollready/capture/rig/openmetrics"
	"rollready/tui"
	"rollready/tui/lines"
	"rollready/tui/share"
	"rollready/tui/terminal"
)

// monitorFlags are those of rollready without a command.
type monitorFlags struct {
	listenFlags
	outputFlags
	takes, metrics, share string
}

func addMonitor(a *app, root *cobra.Command) {
	f := &monitorFlags{}
	f.listenFlags.add(root)
	f.outputFlags.add(root)
	root.Flags().StringVar(&f.takes, "takes", "", "`DIR` for the takes")
	root.Flags().StringVar(&f.metrics, "metrics", "", "serve levels as OpenMetrics at `ADDRESS`: a port, or host and port")
	root.Flags().StringVar(&f.share, "share", "", "let viewers look over SSH at `ADDRESS` (port or host:port), by key only")
	root.RunE = func(cmd *cobra.Command, _ []string) error { return f.run(cmd.Context(), a) }
}

// run opens the monitor. What the flags choose is kept, like every change on
// the screen.
func (f *monitorFlags) run(ctx context.Context, a *app) error {
	if !lines.IsTerminal(os.Stdin) || !lines.IsTerminal(os.Stdout) {
		return errors.New("the monitor needs a terminal: run it in one, or use rollready watch")
	}
	if os.Getenv("TERM") == "dumb" {
		return errors.New("this terminal shows no screens (TERM=dumb): use rollready watch --changes")
	}
	notices := a.gatherWarnings()
	o, err := f.options(a)
	if err != nil {
		return err
	}
	return f.open(ctx, o, notices)
}

func (f *monitorFlags) open(ctx context.Context, o rig.Options, notices *[]string) error {
	return withRig(ctx, &o, rig.Open, func(r *rig.Rig) error { return f.show(ctx, r, o.Rescue, *notices) })
}

// options combines the flags with what is kept.
func (f *monitorFlags) options(a *app) (o rig.Options, err error) {
	if o, err = f.listening(a); err != nil {
		return o, err
	}
	o.Outputs = f.asked()
	if f.takes != "" {
		o.Settings.Recording.Dir, err = filepath.Abs(f.takes)
	}
	return o, err
}

// show shows the screens until the user quits.
func (f *monitorFlags) show(ctx context.Context, r *rig.Rig, last *rescue.Rescue, notices []string) error {
	// Asked to end, the take is closed at once: the screen may be hanging.
	defer context.AfterFunc(ctx, func() {
		defer last.Recover()
		_ = r.CloseTake()
	})()
	if f.metrics != "" {
		served, err := openmetrics.Listen(f.metrics, r.State, last.Go)
		if err != nil {
			return err
		}
		defer served.Close()
	}
	o := tui.Options{Rig: r, Go: last.Go, Notices: notices}
	if f.share != "" {
		at := filepath.Join(r.Store().Dir(), "share")
		shared, err := share.Listen(share.Options{Address: f.share, HostKey: filepath.Join(at, "host_key"), Keys: filepath.Join(at, "keys"),
			Look: tui.Glance(r, last.Go), Go: last.Go})
		if err != nil {
			return err
		}
		defer shared.Close()
		o.Shared = shared
	}
	t, err := terminal.Open()
	if err != nil {
		return err
	}
	o.Terminal = t
	last.Add(func() error { t.Restore(); return nil })
	defer last.Recover()
	return tui.Run(o)
}
