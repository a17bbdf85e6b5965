package tui

import (
	"fmt"
	"os"
	"os/signal"
	"syscall"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
)

// Run shows the screens until the user quits, the terminal goes away or the
// system asks the program to end. The terminal is left as it was. The error
// is a mistake of the program's own, with where it happened.
func Run(opt Options) error {
	profile := termenv.NewOutput(os.Stdout).EnvColorProfile()
	if opt.NoColor {
		profile = termenv.Ascii
	}
	r := newRoot(opt, profile)
	t := opt.Terminal
	p := tea.NewProgram(r, tea.WithInput(t.Reader()), tea.WithOutput(t.Out), tea.WithAltScreen(),
		tea.WithMouseCellMotion(), tea.WithReportFocus())
	hangup := make(chan os.Signal, 1)
	signal.Notify(hangup, syscall.SIGHUP)
	defer signal.Stop(hangup)
	opt.Go(func() {
		if _, ok := <-hangup; ok {
			p.Quit()
		}
	})
	_, err := p.Run()
	t.Restore()
	signal.Stop(hangup)
	close(hangup)
	if r.crashed != nil {
		return fmt.Errorf("stopped by a mistake of its own: %v (%s)", r.crashed.cause, r.crashed.place)
	}
	return err
}
