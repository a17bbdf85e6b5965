package tui

import (
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/colorprofile"

	"rollready/capture/rig/alert"
	"rollready/tui/terminal"
)

// Run shows the screens until the user quits, the terminal goes away or the
// system asks the program to end. The terminal is left as it was. The error
// is a mistake of the program's own, with where it happened.
//
// The library reads keys and routes messages; it draws nothing. It is told
// once a second that there is nothing to paint, as seldom as it can be.
func Run(opt Options) error {
	profile := terminal.Colors()
	if opt.NoColor {
		profile = colorprofile.ASCII
	}
	r, t := newRoot(opt, profile), opt.Terminal
	p := tea.NewProgram(r, tea.WithInput(t.Reader()), tea.WithOutput(io.Discard), tea.WithoutRenderer(),
		tea.WithFPS(1), tea.WithColorProfile(profile))
	if err := t.Enter(); err != nil {
		return err
	}
	defer t.Restore()
	opt.Go(t.Out.Run)
	r.opt.Rig.Tell(func(a alert.Alert) { deliver(t, a) })
	defer r.opt.Rig.Tell(nil)
	over := make(chan struct{})
	defer close(over)
	opt.Go(func() { t.Resized(over, func(w, h int) { p.Send(tea.WindowSizeMsg{Width: w, Height: h}) }) })
	hangup := make(chan os.Signal, 1)
	signal.Notify(hangup, syscall.SIGHUP)
	defer signal.Stop(hangup)
	opt.Go(func() {
		select {
		case <-hangup:
			p.Quit()
		case <-over:
		}
	})
	opt.Go(func() { r.clock.run(r.opt.Rig, over, p.Send) })
	_, err := p.Run()
	t.Restore()
	if r.crashed != nil {
		return fmt.Errorf("stopped by a mistake of its own: %v (%s)", r.crashed.cause, r.crashed.place)
	}
	return err
}
