//go:build unix

package main

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A day of takes, by keys: record, mark, slate, stop, circle, note, delete,
// undo, play back, report, quit.
func TestTakesOnTheScreen(t *testing.T) {
	s := openScreen(t)
	s.start()
	s.open("Takes")
	s.waitFor("No takes here yet", "Next: 1 take 1")
	s.keys("s", "C-u")
	s.say("12A")
	s.waitFor("Next: 12A take 1")
	s.keys("C-r")
	s.waitFor("REC  12A take 1", "OF THE DEMO SCENE", "ROLLING")
	s.keys("m")
	s.waitFor("its word:")
	s.say("door")
	s.waitFor("▾ door")
	s.keys("C-t")
	s.waitFor("▾ slate")
	s.keys("C-z")
	s.waitFor("suspending would stop it")
	s.keys("q")
	s.waitFor("12A take 1 is rolling.")
	s.keys("Escape")
	s.keys("C-r")
	s.waitFor("Stop 12A take 1?")
	s.keys("Enter")
	s.waitFor("Recorded 12A take 1", "Next: 12A take 2")

	s.keys("c")
	s.waitFor("◉ good", "GOOD")
	s.keys("e")
	s.say("gulls")
	s.waitFor("“gulls”")
	s.keys("d")
	s.waitFor("Deleted 12A take 1; u brings it back", "No takes here yet")
	s.keys("u")
	s.waitFor("12A take 1 is back", "“gulls”")
	s.keys("Enter")
	s.waitFor("PLAYING 12A take 1")
	s.keys("Escape")
	s.waitFor("Back at the input", "DEMO")
	s.keys("w")
	s.waitFor("Sound report: ")
	s.keys("q")
	s.waitFor("ready>")

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
	s := openScreen(t)
	s.start()
	s.keys("C-r")
	s.waitFor("REC  1 take 1")
	file := filepath.Join(s.takes, "1_001.wav")
	eventually(t, "some seconds on disk", func() bool {
		info, err := os.Stat(file)
		return err == nil && info.Size() > 3*48000*4*3
	})
	s.signal(syscall.SIGKILL)
	s.waitFor("Killed", "ready>")
	require.Equal(t, "rolling", string(s.listed()[0].State))
	s.start()
	s.waitFor("1_001.wav was cut short: mended, see Takes")
	s.open("Takes")
	s.waitFor("1 take 1", "mended after it was cut short", "Next: 1 take 2")
	got := s.listed()[0]
	require.Equal(t, "mended", string(got.State))
	require.Greater(t, float64(got.Length), 2.5)
	frames, _ := readAllFrames(t, file)
	require.InDelta(t, float64(got.Length), float64(len(frames)/4)/48000, 0.0005, "to the millisecond that is printed")
}

// Asked to end, the program closes the take before it goes.
func TestTerminatedWhileRolling(t *testing.T) {
	for _, sig := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGINT} {
		s := openScreen(t)
		s.start()
		s.keys("C-r")
		s.waitFor("REC  1 take 1")
		s.signal(sig)
		s.waitFor("ready>")
		got := s.listed()
		require.Len(t, got, 1)
		require.Equal(t, "ended", string(got[0].State), sig)
	}
}

func eventually(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(screenPatience); !ok(); time.Sleep(30 * time.Millisecond) {
		require.True(t, time.Now().Before(end), what)
	}
}
