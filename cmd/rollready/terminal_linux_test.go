package main

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// openTerminal gives both ends of a new terminal of 80 × 24.
func openTerminal(t *testing.T) (ours, theirs *os.File) {
	t.Helper()
	ours, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	fd := int(ours.Fd())
	require.NoError(t, unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0))
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	require.NoError(t, err)
	require.NoError(t, unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: 80}))
	theirs, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	return ours, theirs
}

// Only the full screen may ask the terminal anything: a command that prints a
// line would wait for an answer that some terminals never give.
func TestPlainCommandsAskTheTerminalNothing(t *testing.T) {
	u := newUser(t)
	for _, args := range []string{"preset list", "preset show flat", "bands", "--help", "nonsense"} {
		ours, theirs := openTerminal(t)
		cmd := exec.Command(binary, append([]string{"--config", u.config}, strings.Fields(args)...)...)
		cmd.Env = append(os.Environ(), "TERM=xterm-256color", "COLORTERM=truecolor", "CI=")
		cmd.Stdin, cmd.Stdout, cmd.Stderr = theirs, theirs, theirs
		cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
		require.NoError(t, cmd.Start())
		theirs.Close()
		var all []byte
		for b := make([]byte, 4096); ; {
			n, err := ours.Read(b)
			all = append(all, b[:n]...)
			if err != nil { // the program has ended
				break
			}
		}
		_ = cmd.Wait()
		ours.Close()
		require.NotEmpty(t, all, args)
		for _, question := range []string{"\x1b]", "\x1b[c", "\x1b[6n", "\x1bP"} {
			require.NotContains(t, string(all), question, args)
		}
	}
}
