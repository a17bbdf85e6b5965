//go:build unix

package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/rescue"
	"rollready/presets"
	"rollready/tui/panetest"
	"rollready/tui/terminal"
)

// homeVariable makes the test binary be the program itself, with its settings
// in the folder named.
const homeVariable = "ROLLREADY_TEST_HOME"

func TestMain(m *testing.M) {
	if home, ok := os.LookupEnv(homeVariable); ok {
		program(home)
		return
	}
	os.Exit(m.Run())
}

// program shows the screens on the fake engine. A file named panic in its
// folder makes a goroutine of it panic.
func program(home string) {
	store, err := presets.Open(home)
	if err != nil {
		panic(err)
	}
	t, err := terminal.Open()
	if err != nil {
		fmt.Println(err)
		os.Exit(2)
	}
	opt := optionsWith(store, newFake())
	opt.Terminal = t
	if kept, err := store.Settings(); err == nil && kept.Screen != "" {
		opt.parts.Settings.Strips, opt.parts.Settings.Theme, opt.parts.Settings.Screen = kept.Strips, kept.Theme, kept.Screen
	}
	last := &rescue.Rescue{}
	last.Add(func() error { t.Restore(); return nil })
	opt.Go = last.Go
	last.Go(func() {
		for {
			if _, err := os.Stat(filepath.Join(home, "panic")); err == nil {
				panic("asked to")
			}
			time.Sleep(10 * time.Millisecond)
		}
	})
	_ = os.WriteFile(filepath.Join(home, "pid"), fmt.Append(nil, os.Getpid()), 0o644)
	err = Run(opt)
	_ = opt.parts.Keeper.Close()
	fmt.Println("ended:", err)
}

// pane is a real terminal with the program's home.
type pane struct {
	*panetest.Pane
	home string
}

func openPane(t *testing.T, w, h int) *pane {
	t.Helper()
	return &pane{panetest.Open(t, w, h, os.Environ()), t.TempDir()}
}

// start runs the program in the shell.
func (p *pane) start() {
	p.Helper()
	exe, err := os.Executable()
	require.NoError(p, err)
	p.Line(homeVariable + "=" + p.home + " " + exe)
	p.WaitFor("headroom")
}

// clean checks that the terminal is as a shell needs it.
func (p *pane) clean() {
	p.Helper()
	modes := p.Tmux("display-message", "-p",
		"#{alternate_on} #{cursor_flag} #{mouse_button_flag} #{mouse_all_flag} #{mouse_sgr_flag}")
	require.Equal(p, "0 1 0 0 0\n", modes, "second screen, cursor, mouse")
	p.Line("stty -a | tr ' ' '\\n' | grep -c -x -e echo -e icanon -e isig | sed s/^/modes=/")
	p.WaitFor("modes=3")
}

func (p *pane) kept() presets.Settings {
	p.Helper()
	store, err := presets.Open(p.home)
	require.NoError(p, err)
	s, err := store.Settings()
	require.NoError(p, err)
	return s
}
