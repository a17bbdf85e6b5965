//go:build unix

// Package panetest drives a program in a real terminal, as a person does: by
// keys and by mouse, reading what the screen shows. Only tests use it.
package panetest

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// Patience is how long a pane waits for what must come, on a busy machine.
const Patience = time.Minute

const prompt = "ready>"

// Pane is a terminal with a shell in it.
type Pane struct {
	*testing.T
	socket string
	alive  *os.File // ends when nothing that was started in the pane runs any more
}

// Open opens a terminal of so many columns and rows. What runs in it gets the
// environment env, of which TERM and COLORTERM are replaced, CI and NO_COLOR
// taken out. At the end of the test the terminal goes away, and the test
// waits for all that ran in it: nothing writes into the test's folders after
// that. Without tmux the test skips, or fails where CI is true.
func Open(t *testing.T, columns, rows int, env []string) *Pane {
	t.Helper()
	soundtest.Need(t, "tmux")
	fifo := filepath.Join(t.TempDir(), "alive")
	require.NoError(t, syscall.Mkfifo(fifo, 0o600))
	alive, err := os.OpenFile(fifo, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	require.NoError(t, err)
	p := &Pane{t, fmt.Sprintf("rollready-%d-%d", os.Getpid(), time.Now().UnixNano()), alive}
	t.Cleanup(p.close)
	// Every process in the pane inherits the writing end as descriptor 9.
	cmd := exec.Command("tmux", "-L", p.socket, "-f", "/dev/null",
		"new-session", "-d", "-x", fmt.Sprint(columns), "-y", fmt.Sprint(rows),
		"env", "-u", "CI", "-u", "NO_COLOR", "LC_ALL=C.UTF-8", "PS1="+prompt+" ", "TERM=tmux-256color", "COLORTERM=truecolor",
		"sh", "-c", `exec 9>"$0"; exec bash --norc --noprofile -i`, fifo)
	cmd.Env = env
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	p.WaitForShell()
	return p
}

func (p *Pane) close() {
	p.Helper()
	_ = exec.Command("tmux", "-L", p.socket, "kill-server").Run()
	_ = p.alive.SetReadDeadline(time.Now().Add(Patience))
	if _, err := io.Copy(io.Discard, p.alive); err != nil {
		p.Errorf("the program outlives its terminal: %v", err)
	}
	_ = p.alive.Close()
}

// Tmux gives a command to the terminal, and what it prints.
func (p *Pane) Tmux(args ...string) string {
	p.Helper()
	out, err := exec.Command("tmux", append([]string{"-L", p.socket}, args...)...).CombinedOutput()
	require.NoError(p, err, "tmux %v: %s", args, out)
	return string(out)
}

// Keys presses keys by their names, such as Enter or C-u.
func (p *Pane) Keys(keys ...string) { p.Helper(); p.Tmux(append([]string{"send-keys"}, keys...)...) }

// Text types a text.
func (p *Pane) Text(text string) { p.Helper(); p.Tmux("send-keys", "-l", "--", text) }

// Line types a text and enter.
func (p *Pane) Line(text string) { p.Helper(); p.Text(text); p.Keys("Enter") }

// Instead clears a field, then types a text and enter.
func (p *Pane) Instead(text string) { p.Helper(); p.Keys("C-u"); p.Line(text) }

// Mouse sends one report: 0 press, 32 motion while pressed, 64 wheel up; the
// cell counts from 0, end is M or for a release m.
func (p *Pane) Mouse(button, x, y int, end string) {
	p.Helper()
	args := []string{"send-keys", "-H"}
	for _, b := range fmt.Appendf(nil, "\x1b[<%d;%d;%d%s", button, x+1, y+1, end) {
		args = append(args, fmt.Sprintf("%02x", b))
	}
	p.Tmux(args...)
}

// Press presses the mouse on a text, once it is there.
func (p *Pane) Press(text string) {
	p.Helper()
	x, y := p.Place(text)
	p.Mouse(0, x, y, "M")
	p.Mouse(0, x, y, "m")
}

// Screen gives the text the terminal shows.
func (p *Pane) Screen() string { p.Helper(); return p.Tmux("capture-pane", "-p") }

// Look gives the screen with its colours.
func (p *Pane) Look() string { p.Helper(); return p.Tmux("capture-pane", "-p", "-e") }

// Until waits until the screen is as wanted, and gives it.
func (p *Pane) Until(what string, ok func(screen string) bool) string {
	p.Helper()
	var s string
	for end := time.Now().Add(Patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if s = p.Screen(); ok(s) {
			return s
		}
	}
	require.Fail(p, "not seen within "+Patience.String()+": "+what, s)
	return ""
}

// WaitFor waits until the screen shows all texts, and gives it.
func (p *Pane) WaitFor(texts ...string) string {
	p.Helper()
	return p.Until(strings.Join(texts, ", "), func(s string) bool {
		for _, text := range texts {
			if !strings.Contains(s, text) {
				return false
			}
		}
		return true
	})
}

// WaitForShell waits until the shell has the terminal back.
func (p *Pane) WaitForShell() { p.Helper(); p.WaitFor(prompt) }

// Place is the cell at which a text begins, once it is there.
func (p *Pane) Place(text string) (x, y int) {
	p.Helper()
	for y, line := range strings.Split(p.WaitFor(text), "\n") {
		if before, _, ok := strings.Cut(line, text); ok {
			return len([]rune(before)), y
		}
	}
	return 0, 0
}
