//go:build proof && linux

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/capture/take"
)

// A terminal that takes nothing any more, as a dead connection does, costs no
// sound; asked to end, the program closes the take although its screen hangs.
func TestProofATerminalThatHangs(t *testing.T) {
	ours, theirs := openTerminal(t)
	u, takes := newUser(t), filepath.Join(t.TempDir(), "takes")
	cmd := exec.Command(binary, "--config", u.config, "--takes", takes, "--input", "demo")
	cmd.Env = append(os.Environ(), append(soundtest.NoServerEnv(t.TempDir()), "TERM=xterm-256color", "COLORTERM=truecolor")...)
	cmd.Stdin, cmd.Stdout = theirs, theirs
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	require.NoError(t, cmd.Start())
	theirs.Close()
	defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait(); ours.Close() }()

	var drawn []byte
	for block := make([]byte, 4096); !bytes.Contains(drawn, []byte("ctrl-r")); {
		n, err := ours.Read(block)
		require.NoError(t, err)
		drawn = append(drawn, block[:n]...)
	}
	_, err := ours.Write([]byte{0x12}) // ctrl-r; nobody reads from here on
	require.NoError(t, err)
	wav := filepath.Join(takes, "1_001.wav")
	size := func() int64 {
		info, err := os.Stat(wav)
		if err != nil {
			return 0
		}
		return info.Size()
	}
	eventually(t, "ten seconds of sound behind a hanging screen", func() bool { return size() > 10*48000*4*3 })
	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	listed := func() take.Listed {
		return objects[take.Listing](t, u.ok("take", "list", "--takes", takes, "--json"))[0].Takes[0]
	}
	eventually(t, "the take closed", func() bool { return listed().State == "ended" })
	frames, _ := readAllFrames(t, wav)
	require.Greater(t, len(frames)/4, 10*48000-480, "ten seconds but for the header")
}
