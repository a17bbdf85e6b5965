//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// screen is the program in a real terminal, on the demo scene.
type screen struct {
	*testing.T
	socket, config, takes, pid string
}

const screenPatience = 60 * time.Second

func openScreen(t *testing.T) *screen {
	t.Helper()
	if _, err := exec.LookPath("tmux"); err != nil {
		if os.Getenv("CI") == "true" {
			require.Fail(t, "tmux is missing: the program must be driven in a real terminal; install the package tmux")
		}
		t.Skip("tmux is missing: install it to drive the program in a real terminal")
	}
	dir := t.TempDir()
	s := &screen{t, fmt.Sprintf("rollready-%d-%d", os.Getpid(), time.Now().UnixNano()),
		filepath.Join(dir, "config"), filepath.Join(dir, "takes"), filepath.Join(dir, "pid")}
	s.tmux("-f", "/dev/null", "new-session", "-d", "-x", "100", "-y", "30", "env", "PS1=ready> ", "bash", "--norc", "--noprofile", "-i")
	t.Cleanup(func() { _ = exec.Command("tmux", "-L", s.socket, "kill-server").Run() })
	s.waitFor("ready>")
	return s
}

// start runs the program on the demo scene and waits for its screen.
func (s *screen) start() {
	s.Helper()
	s.run(strings.Join(soundtest.NoServerEnv(s.TempDir()), " "), "--input", "demo")
}

// run runs the program and waits for its screen. It leaves its process id.
func (s *screen) run(env string, args ...string) {
	s.Helper()
	s.say(fmt.Sprintf("clear; sh -c \"echo \\$\\$ > %s; exec env %s TERM=tmux-256color %s --config %s --takes %s %s\"",
		s.pid, env, binary, s.config, s.takes, strings.Join(args, " ")))
	s.waitFor("ctrl-r roll")
}

func (s *screen) tmux(args ...string) string {
	s.Helper()
	out, err := exec.Command("tmux", append([]string{"-L", s.socket}, args...)...).CombinedOutput()
	require.NoError(s, err, "tmux %v: %s", args, out)
	return string(out)
}

func (s *screen) keys(keys ...string) { s.Helper(); s.tmux(append([]string{"send-keys"}, keys...)...) }
func (s *screen) text(text string)    { s.Helper(); s.tmux("send-keys", "-l", "--", text) }
func (s *screen) say(line string)     { s.Helper(); s.text(line); s.keys("Enter") }

// press presses the mouse on a text that is on the screen.
func (s *screen) press(text string) {
	s.Helper()
	s.waitFor(text)
	for y, line := range strings.Split(s.tmux("capture-pane", "-p"), "\n") {
		if before, _, ok := strings.Cut(line, text); ok {
			x := len([]rune(before))
			for _, end := range []string{"M", "m"} {
				s.text(fmt.Sprintf("\x1b[<0;%d;%d%s", x+1, y+1, end))
			}
			return
		}
	}
}

// open goes to the screen of a name by its number, once the program shows one.
func (s *screen) open(name string) {
	s.Helper()
	s.waitFor("? keys")
	number := 1 + slices.Index([]string{"Monitor", "Presets", "Check", "Compare", "Line-up", "Takes", "Setup", "Reminder"}, name)
	require.Positive(s, number, "no screen %s", name)
	s.keys(strconv.Itoa(number))
	s.waitFor(fmt.Sprintf("%d %s", number, name))
}

func (s *screen) waitFor(texts ...string) {
	s.Helper()
	var now string
	for end := time.Now().Add(screenPatience); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		now = s.tmux("capture-pane", "-p")
		missing := 0
		for _, text := range texts {
			if !strings.Contains(now, text) {
				missing++
			}
		}
		if missing == 0 {
			return
		}
	}
	require.Fail(s, fmt.Sprintf("not seen within %v: %q", screenPatience, texts), now)
}

// signal sends a signal to the program.
func (s *screen) signal(sig syscall.Signal) {
	s.Helper()
	raw, err := os.ReadFile(s.pid)
	require.NoError(s, err)
	pid, err := strconv.Atoi(strings.TrimSpace(string(raw)))
	require.NoError(s, err)
	require.NoError(s, syscall.Kill(pid, sig))
}

// listed gives the takes as take list does.
func (s *screen) listed() []takeJSON {
	s.Helper()
	return objects[takeListJSON](s.T, user{s.T, s.config, os.Environ()}.ok("take", "list", "--dir", s.takes, "--json"))[0].Takes
}
