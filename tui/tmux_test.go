//go:build unix

package tui

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/presets"
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
		opt.Settings.Chain, opt.Settings.Theme, opt.Settings.Screen = kept.Chain, kept.Theme, kept.Screen
	}
	go func() {
		defer t.Recover()
		for {
			if _, err := os.Stat(filepath.Join(home, "panic")); err == nil {
				panic("asked to")
			}
			time.Sleep(10 * time.Millisecond)
		}
	}()
	_ = os.Remove(filepath.Join(home, "ended"))
	_ = os.WriteFile(filepath.Join(home, "pid"), fmt.Append(nil, os.Getpid()), 0o644)
	err = Run(opt)
	_ = opt.Keeper.Close()
	_ = os.WriteFile(filepath.Join(home, "ended"), nil, 0o644)
	fmt.Println("ended:", err)
}

// pane is a real terminal with a shell in it.
type pane struct {
	*testing.T
	socket, home string
}

const patience = 30 * time.Second

func openPane(t *testing.T, w, h int) *pane {
	t.Helper()
	if _, err := exec.LookPath("tmux"); err != nil {
		if os.Getenv("CI") == "true" {
			require.Fail(t, "tmux is missing: the screen must be driven in a real terminal; install the package tmux")
		}
		t.Skip("tmux is missing: install it to drive the screen in a real terminal")
	}
	p := &pane{t, fmt.Sprintf("rollready-test-%d-%d", os.Getpid(), time.Now().UnixNano()), t.TempDir()}
	p.tmux("-f", "/dev/null", "new-session", "-d", "-x", fmt.Sprint(w), "-y", fmt.Sprint(h),
		"env", "-u", "CI", "-u", "NO_COLOR", "PS1=ready> ", "TERM=tmux-256color", "COLORTERM=truecolor", "bash", "--norc", "--noprofile", "-i")
	t.Cleanup(p.close)
	p.waitFor("ready>")
	return p
}

// close takes the terminal away and waits until the program has noticed.
func (p *pane) close() {
	_ = exec.Command("tmux", "-L", p.socket, "kill-server").Run()
	for end := time.Now().Add(patience); p.running(); time.Sleep(5 * time.Millisecond) {
		require.True(p, time.Now().Before(end), "the program outlives its terminal")
	}
}

func (p *pane) running() bool {
	if _, err := os.Stat(filepath.Join(p.home, "ended")); err == nil {
		return false
	}
	b, err := os.ReadFile(filepath.Join(p.home, "pid"))
	if err != nil {
		return false
	}
	pid, err := strconv.Atoi(string(b))
	return err == nil && syscall.Kill(pid, 0) == nil
}

func (p *pane) tmux(args ...string) string {
	p.Helper()
	out, err := exec.Command("tmux", append([]string{"-L", p.socket}, args...)...).CombinedOutput()
	require.NoError(p, err, "tmux %v: %s", args, out)
	return string(out)
}

// start runs the program in the shell.
func (p *pane) start() {
	p.Helper()
	exe, err := os.Executable()
	require.NoError(p, err)
	p.say(homeVariable + "=" + p.home + " " + exe)
	p.waitFor("headroom")
}

// say types a line for the shell.
func (p *pane) say(line string) {
	p.Helper()
	p.tmux("send-keys", "-l", "--", line)
	p.keys("Enter")
}

func (p *pane) keys(keys ...string) { p.Helper(); p.tmux(append([]string{"send-keys"}, keys...)...) }
func (p *pane) text(text string)    { p.Helper(); p.tmux("send-keys", "-l", "--", text) }

// mouse sends one report: 0 press, 32 motion while pressed, 64 wheel up; the
// cell counts from 0.
func (p *pane) mouse(button, x, y int, end string) {
	p.Helper()
	args := []string{"send-keys", "-H"}
	for _, b := range fmt.Appendf(nil, "\x1b[<%d;%d;%d%s", button, x+1, y+1, end) {
		args = append(args, fmt.Sprintf("%02x", b))
	}
	p.tmux(args...)
}

func (p *pane) screen() string { p.Helper(); return p.tmux("capture-pane", "-p") }

func (p *pane) until(what string, ok func(screen string) bool) string {
	p.Helper()
	var s string
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if s = p.screen(); ok(s) {
			return s
		}
	}
	require.Fail(p, "not seen within "+patience.String()+": "+what, s)
	return ""
}

func (p *pane) waitFor(text string) string {
	p.Helper()
	return p.until(text, func(s string) bool { return strings.Contains(s, text) })
}

// place is the cell at which a text begins.
func (p *pane) place(text string) (x, y int) {
	p.Helper()
	for y, line := range strings.Split(p.waitFor(text), "\n") {
		if before, _, ok := strings.Cut(line, text); ok {
			return len([]rune(before)), y
		}
	}
	return 0, 0
}

// clean checks that the terminal is as a shell needs it.
func (p *pane) clean() {
	p.Helper()
	modes := p.tmux("display-message", "-p",
		"#{alternate_on} #{cursor_flag} #{mouse_button_flag} #{mouse_all_flag} #{mouse_sgr_flag}")
	require.Equal(p, "0 1 0 0 0\n", modes, "second screen, cursor, mouse")
	p.say("stty -a | tr ' ' '\\n' | grep -c -x -e echo -e icanon -e isig | sed s/^/modes=/")
	p.waitFor("modes=3")
}

func (p *pane) kept() presets.Settings {
	p.Helper()
	store, err := presets.Open(p.home)
	require.NoError(p, err)
	s, err := store.Settings()
	require.NoError(p, err)
	return s
}
