//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A mistake in a goroutine behind the screen, while a take rolls: the take is
// closed, the terminal as a shell needs it, and one line says what happened.
func TestAPanicBehindTheScreenClosesTheTake(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	exe, err := os.Executable()
	require.NoError(t, err)
	s := openScreen(u, 150, 30)
	s.takes = filepath.Join(dir, "takes")
	s.Line(fmt.Sprintf("clear; %s='%s' '%s'; echo code $?", trapVariable, dir, exe))
	s.WaitFor("ctrl-r roll")
	s.Keys("C-r")
	s.WaitFor("REC  1 take 1")
	file := filepath.Join(s.takes, "1_001.wav")
	eventually(t, "a second on disk", func() bool {
		info, err := os.Stat(file)
		return err == nil && info.Size() > 48000*4*3
	})
	require.NoError(t, os.WriteFile(filepath.Join(dir, "panic"), nil, 0o644))
	text := s.WaitFor("code 2")
	require.Regexp(t, `(?m)^rollready stopped by a mistake of its own: asked to \(trap_test.go:\d+\); a take that rolled is closed\ncode 2\n`, text)
	require.NotContains(t, text, "goroutine")
	require.Equal(t, "0 1 0 0 0\n", s.Tmux("display-message", "-p",
		"#{alternate_on} #{cursor_flag} #{mouse_button_flag} #{mouse_all_flag} #{mouse_sgr_flag}"), "second screen, cursor, mouse")
	s.Line("stty -a | tr ' ' '\\n' | grep -c -x -e echo -e icanon -e isig | sed s/^/modes=/")
	s.WaitFor("modes=3")

	got := s.listed()
	require.Len(t, got, 1)
	require.Equal(t, "ended", string(got[0].State))
	frames, channels := readAllFrames(t, file)
	require.InDelta(t, float64(got[0].Length), float64(len(frames)/channels)/48000, 0.0005, "to the millisecond that is printed")
	require.Greater(t, len(frames)/channels, 48000/2)
}
