//go:build unix

package main

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A day of takes, by keys: record, mark, slate, stop, circle, note, delete,
// undo, play back, report, quit.
func TestTakesOnTheScreen(t *testing.T) {
	s := openScreen(newUser(t), 100, 30)
	s.start("--input", "demo")
	s.open("Takes")
	s.WaitFor("No takes here yet", "Next: 1 take 1")
	s.Keys("s")
	s.Instead("12A")
	s.WaitFor("Next: 12A take 1")
	s.Keys("C-r")
	s.WaitFor("REC  12A take 1", "OF THE DEMO SCENE", "ROLLING")
	s.Keys("m")
	s.WaitFor("its word:")
	s.Line("door")
	s.WaitFor("▾ door")
	s.Keys("C-t")
	s.WaitFor("▾ slate")
	s.Keys("C-z")
	s.WaitFor("suspending would stop it")
	s.Keys("q")
	s.WaitFor("12A take 1 is rolling.")
	s.Keys("Escape")
	s.Keys("C-r")
	s.WaitFor("Stop 12A take 1?")
	s.Keys("Enter")
	s.WaitFor("Recorded 12A take 1", "Next: 12A take 2")

	s.Keys("c")
	s.WaitFor("◉ ", "GOOD") // and, of a demo scene that happens to hum, what to listen to
	s.Keys("e")
	s.Line("gulls")
	s.WaitFor("“gulls”")
	s.Keys("d")
	s.WaitFor("Deleted 12A take 1; u brings it back", "No takes here yet")
	s.Keys("u")
	s.WaitFor("12A take 1 is back", "“gulls”")
	s.Keys("Enter")
	s.WaitFor("PLAYING 12A take 1")
	s.Keys("Escape")
	s.WaitFor("Back at the input", "DEMO")
	s.Keys("w")
	s.WaitFor("Sound report: ")
	s.quit()

	got := s.listed()
	require.Len(t, got, 1)
	require.True(t, got[0].Circled)
	require.Equal(t, "gulls", got[0].Note)
	require.Equal(t, []string{"door", "slate"}, []string{got[0].Markers[0].Text, got[0].Markers[1].Text})
	frames, channels := readAllFrames(t, got[0].Path)
	require.Equal(t, 4, channels)
	require.InDelta(t, float64(got[0].Length), float64(len(frames)/4)/48000, 0.0005, "to the millisecond that is printed")
	reports, err := filepath.Glob(filepath.Join(s.takes, "sound report *.*"))
	require.NoError(t, err)
	require.Len(t, reports, 2)
}

// A killed program loses no take: the next start mends and lists it.
func TestKilledWhileRolling(t *testing.T) {
	s := openScreen(newUser(t), 100, 30)
	s.start("--input", "demo")
	s.Keys("C-r")
	s.WaitFor("REC  1 take 1")
	file := filepath.Join(s.takes, "1_001.wav")
	eventually(t, "some seconds on disk", func() bool {
		info, err := os.Stat(file)
		return err == nil && info.Size() > 3*48000*4*3
	})
	s.signal(syscall.SIGKILL)
	s.WaitForShell()
	require.Equal(t, "rolling", string(s.listed()[0].State))
	s.launch("--input", "demo") // the message stands where the keys come after it
	s.WaitFor("1_001.wav was cut short: mended, see Takes")
	s.open("Takes")
	s.WaitFor("1 take 1", "mended after it was cut short", "Next: 1 take 2")
	got := s.listed()[0]
	require.Equal(t, "mended", string(got.State))
	require.Greater(t, float64(got.Length), 2.5)
	frames, _ := readAllFrames(t, file)
	require.InDelta(t, float64(got.Length), float64(len(frames)/4)/48000, 0.0005, "to the millisecond that is printed")
}

// Asked to end, the program closes the take before it goes.
func TestTerminatedWhileRolling(t *testing.T) {
	for _, sig := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGINT} {
		s := openScreen(newUser(t), 100, 30)
		s.start("--input", "demo")
		s.Keys("C-r")
		s.WaitFor("REC  1 take 1")
		s.signal(sig)
		s.WaitForShell()
		got := s.listed()
		require.Len(t, got, 1)
		require.Equal(t, "ended", string(got[0].State), sig)
	}
}
