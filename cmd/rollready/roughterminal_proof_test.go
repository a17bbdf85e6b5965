//go:build proof && linux

package main

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// rough is what happens to a terminal while a take rolls in it.
var rough = []struct {
	name  string
	do    func(p *inTerminal)
	count int
	ends  bool // the program is to end by it, in good order
}{
	{"closed", func(p *inTerminal) { p.ours.Close() }, 1, true},
	{"SIGHUP", func(p *inTerminal) { _ = p.cmd.Process.Signal(syscall.SIGHUP) }, 1, true},
	{"SIGTERM", func(p *inTerminal) { _ = p.cmd.Process.Signal(syscall.SIGTERM) }, 1, true},
	{"SIGINT", func(p *inTerminal) { _ = p.cmd.Process.Signal(syscall.SIGINT) }, 1, true},
	{"ctrl-z", func(p *inTerminal) { p.press("\x1a") }, 20, false},
	{"stopped and continued", func(p *inTerminal) {
		_ = p.cmd.Process.Signal(syscall.SIGSTOP)
		time.Sleep(50 * time.Millisecond)
		_ = p.cmd.Process.Signal(syscall.SIGCONT)
	}, 10, false},
	{"1 × 1", func(p *inTerminal) { p.resize(1, 1) }, 1, false},
	{"0 × 0", func(p *inTerminal) { p.resize(0, 0) }, 1, false},
	{"resized", func(p *inTerminal) { p.resize(1+rand.IntN(300), 1+rand.IntN(100)) }, 1000, false},
	{"pasted 1 MB", func(p *inTerminal) { p.press("\x1b[200~" + pastedText(1<<20) + "\x1b[201~") }, 1, false},
	{"mouse moved and pressed", func(p *inTerminal) { p.press(mouseEvents(100)) }, 100, false},
	{"torn sequences", func(p *inTerminal) { p.press(tornSequence()) }, 2000, false},
	{"frozen for two seconds", func(p *inTerminal) { p.freeze(2 * time.Second) }, 1, false},
}

// TestProofRoughTerminal rolls a take in a terminal to which a rough thing
// happens, many times over: the take is whole to its last frame, and the
// terminal as it was.
func TestProofRoughTerminal(t *testing.T) {
	u, source := newUser(t), counting(t, 2)
	for _, r := range rough {
		t.Run(r.name, func(t *testing.T) {
			t.Parallel()
			v := &victim{encoding: "24", channels: 2, pick: "1+2", dir: t.TempDir()}
			p, err := startInTerminal(t, []string{"--config", v.config(t), "--takes", v.dir, "--input", "file:" + source}, u.env)
			require.NoError(t, err)
			defer p.end()
			require.NoError(t, p.waitFor("ctrl-r"))
			p.press("\x12")
			require.NoError(t, p.waitFor("REC"))
			time.Sleep(time.Second)
			for range r.count {
				r.do(p)
			}
			if !r.ends {
				p.goesOn(t)
			}
			require.NoError(t, p.left(), "the program ends")
			if r.name != "closed" {
				p.clean(t)
			}
			v.whole(t)
			t.Logf("%d times: take of %.1f s whole, terminal as it was", r.count, float64(v.frames)/48000)
		})
	}
}

// goesOn: the program draws and lets the take be ended in its own time.
func (p *inTerminal) goesOn(t *testing.T) {
	t.Helper()
	p.resize(80, 24)
	for range 4 { // out of whatever was opened, and whatever that opened
		p.press("\x1b")
		time.Sleep(150 * time.Millisecond)
	}
	p.mu.Lock()
	p.since = p.shown.Len()
	p.mu.Unlock()
	p.resize(100, 30)
	require.NoError(t, p.waitFor("keys"), "it draws")
	require.NoError(t, p.cmd.Process.Signal(syscall.Signal(0)), "it runs")
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
}

// left waits for the end of the program.
func (p *inTerminal) left() error {
	ended := make(chan error, 1)
	go func() { ended <- p.cmd.Wait() }()
	select {
	case err := <-ended:
		var exit interface{ ExitCode() int }
		if errors.As(err, &exit) && exit.ExitCode() < 0 {
			return err
		}
		return nil
	case <-time.After(time.Minute):
		return fmt.Errorf("it does not end")
	}
}

// clean: what the program switched on in the terminal is off again, and keys
// echo as before.
func (p *inTerminal) clean(t *testing.T) {
	t.Helper()
	<-p.done // all that was drawn has been read
	p.mu.Lock()
	drawn := p.shown.String()
	p.mu.Unlock()
	for _, mode := range []string{"1049", "1000", "1002", "1003", "1006", "2004"} {
		on, off := strings.LastIndex(drawn, "\x1b[?"+mode+"h"), strings.LastIndex(drawn, "\x1b[?"+mode+"l")
		require.GreaterOrEqual(t, off, on, "mode %s stays on", mode)
	}
	require.Greater(t, strings.LastIndex(drawn, "\x1b[?25h"), strings.LastIndex(drawn, "\x1b[?25l"), "the cursor is seen")
	state, err := unix.IoctlGetTermios(int(p.ours.Fd()), unix.TCGETS)
	require.NoError(t, err)
	require.NotZero(t, state.Lflag&unix.ECHO, "keys echo")
	require.NotZero(t, state.Lflag&unix.ICANON, "lines are read as lines")
}

// whole: the take was ended, needs no mending, and is the source's sound.
func (v *victim) whole(t *testing.T) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(v.dir, "*.wav"))
	require.NoError(t, err)
	require.Len(t, paths, 1)
	before, err := os.ReadFile(paths[0])
	require.NoError(t, err)
	require.NoError(t, v.mended(paths[0]))
	after, err := os.ReadFile(paths[0])
	require.NoError(t, err)
	require.True(t, bytes.Equal(before, after), "it was ended in good order")
	require.NoError(t, v.equal(paths[0]))
}

func (p *inTerminal) resize(columns, rows int) {
	_ = unix.IoctlSetWinsize(int(p.ours.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Col: uint16(columns), Row: uint16(rows)})
	time.Sleep(time.Millisecond)
}

// freeze reads nothing that is drawn for so long.
func (p *inTerminal) freeze(length time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	time.Sleep(length)
}

// pastedText is text with what keys would do in it.
func pastedText(length int) string {
	words := []string{"quit ", "q", "\x12", "\r", "delete\n", "\t", "0", "麦", "\x03", "gulls "}
	var b strings.Builder
	for b.Len() < length {
		b.WriteString(words[rand.IntN(len(words))])
	}
	return b.String()
}

// mouseEvents are moves and drags, wheels, and presses in the upper half of the
// screen, in which nothing asks, but for the row of the take, which unlocks the
// chain: it stays locked, and the processed track is the input.
func mouseEvents(count int) string {
	var b strings.Builder
	for range count {
		button, row := []int{0, 32, 35, 64, 65}[rand.IntN(5)], 1+rand.IntN(12)
		if row == 2 {
			row = 24
		}
		fmt.Fprintf(&b, "\x1b[<%d;%d;%d%c", button, 1+rand.IntN(200), row, "Mm"[rand.IntN(2)])
	}
	return b.String()
}

// tornSequence is the beginning of something a terminal may send.
func tornSequence() string {
	return []string{"\x1b[<0;", "\x1b[", "\x1b]11;rgb:", "\x1b[<64;10;1", "\x1bO", "\xe9\xba", "\x1b[200~x\x1b[201~", "\x1b[I", "\x1b[O", "\x1bP1$r"}[rand.IntN(10)]
}
