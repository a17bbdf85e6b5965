//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"github.com/stretchr/testify/require"

	"rollready/capture/take"
	"rollready/tui/panetest"
)

// screen is the program in a real terminal.
type screen struct {
	*panetest.Pane
	user
	takes, pid string
}

func openScreen(u user, columns, rows int) *screen {
	u.t.Helper()
	dir := u.t.TempDir()
	return &screen{panetest.Open(u.t, columns, rows, u.env), u, filepath.Join(dir, "takes"), filepath.Join(dir, "pid")}
}

// start runs the program and waits for its screen.
func (s *screen) start(args ...string) {
	s.t.Helper()
	s.launch(args...)
	s.WaitFor("ctrl-r roll")
}

// launch runs the program. It leaves its process id.
func (s *screen) launch(args ...string) {
	s.t.Helper()
	quoted := []string{binary, "--config", s.config, "--takes", s.takes}
	for _, a := range args {
		quoted = append(quoted, "'"+a+"'")
	}
	s.Line(fmt.Sprintf(`clear; sh -c "echo \$\$ > %s; exec %s"`, s.pid, strings.Join(quoted, " ")))
}

// quit ends the program and waits until the shell is back.
func (s *screen) quit() {
	s.t.Helper()
	s.Keys("q")
	s.WaitForShell()
}

// open goes to the screen of a name by its number, once the program shows one.
func (s *screen) open(name string) {
	s.t.Helper()
	s.WaitFor("? keys")
	number := 1 + slices.Index([]string{"Monitor", "Presets", "Check", "Compare", "Line-up", "Takes", "Setup", "Reminder"}, name)
	require.Positive(s.t, number, "no screen %s", name)
	s.Keys(strconv.Itoa(number))
	s.WaitFor(fmt.Sprintf("%d %s", number, name))
}

// signal sends a signal to the program.
func (s *screen) signal(sig syscall.Signal) {
	s.t.Helper()
	raw, err := os.ReadFile(s.pid)
	require.NoError(s.t, err)
	pid, err := strconv.Atoi(strings.TrimSpace(string(raw)))
	require.NoError(s.t, err)
	require.NoError(s.t, syscall.Kill(pid, sig))
}

// listed gives the takes as take list does.
func (s *screen) listed() []take.Listed {
	s.t.Helper()
	return objects[take.Listing](s.t, s.ok("take", "list", "--takes", s.takes, "--json"))[0].Takes
}
