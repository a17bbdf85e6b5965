//go:build proof && linux && amd64

package main

import (
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/rig/readout"
	"rollready/capture/soundtest"
	"rollready/capture/take"
)

var jumpCount = flag.Int("jumps", 8, "how often TestProofClockJumps lets the clock jump")

func hours() time.Duration { return time.Duration(rand.IntN(61)-30) * time.Hour }

// timeless is a time or a length below zero, as no screen and no table may
// show.
var timeless = regexp.MustCompile(`[-−]\d+:\d\d|[-−]\d+(\.\d+)? ?(h|min|s|ms|days?)\b|NaN`)

// aSecond and more of a take, as the screen tells it.
var aSecond = regexp.MustCompile(`REC .* [0-9]:[0-9]?[1-9] `)

// TestProofClockJumps lets the clock on the wall jump by hours both ways, in
// the countdown, in takes and between them, at live inputs and outputs.
func TestProofClockJumps(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.AddSink(t, phones, "Head Phones", stereo48)
	server.Tone(t, 1000, 0.05)
	c, s := newClock(t), openScreen(newListener(t), 100, 30)
	require.NoError(t, os.MkdirAll(s.config, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(s.config, "settings.toml"),
		[]byte("version = 1\ncountdown_s = 3\n[takes]\nencoding = '16'\ninput_tracks = true\nnames = '{scene} {take} {date} {time}'\n"), 0o644))
	s.Line("clear; " + strings.Join(append(c.words(), binary, "--config", s.config, "--takes", s.takes,
		"--input", "Field", "--headphones", "Head", "--camera-output", "Camera", "--preset", "flat"), " "))
	s.WaitFor("ctrl-r roll")
	s.Keys("Enter", "0")
	s.WaitFor("phones −30 dB")
	look := func(texts ...string) string {
		t.Helper()
		now := s.WaitFor(texts...)
		for _, wrong := range []string{"LOST", "back, MUTED", "disk full"} {
			require.NotContains(t, now, wrong)
		}
		require.Empty(t, timeless.FindAllString(strings.ReplaceAll(now, "−30 dB", ""), -1), now)
		return now
	}
	jumps := 0
	jump := func() { c.jump(hours()); jumps++ }
	for n := 1; jumps < *jumpCount; n++ {
		jump()
		s.Keys("C-r")
		began := time.Now()
		jump()
		s.Until("the take rolls", func(now string) bool {
			if !strings.Contains(now, "? keys") { // the far view, which counts
				s.Keys("Escape")
			}
			return strings.Contains(now, "REC  1 take ")
		})
		require.Greater(t, time.Since(began), 2*time.Second, "nobody is surprised by a take")
		jump()
		s.Until("a second of take", aSecond.MatchString)
		s.Keys("C-g", "g", "Up")
		jump()
		look("UNLOCKED")
		s.Keys("C-r", "Enter")
		look("Recorded 1 take ")
	}
	jump()
	eventually(t, "the gain is kept while the program runs", func() bool {
		raw, err := os.ReadFile(filepath.Join(s.config, "settings.toml"))
		return err == nil && regexp.MustCompile(`gain_db = 0?\.?[1-9]`).Match(raw)
	})
	s.Keys("6")
	look("1 take 1")
	s.quit()
	for _, got := range s.listed() {
		require.Equal(t, take.Ended, got.State)
		require.Zero(t, got.Lost+got.Lag, "%s: %v", got.Path, got.Events)
		require.Greater(t, float64(got.Length), 0.9)
		require.Less(t, float64(got.Length), 60.0)
		require.NotContains(t, got.Started, "0001-")
	}
	t.Logf("%d jumps, %d takes", jumps, len(s.listed()))
}

// TestProofClockJumpsUnderCommands: those that run for a time do so by a clock
// that doesn't jump, and what they write is whole.
func TestProofClockJumpsUnderCommands(t *testing.T) {
	t.Parallel()
	c, u, source, dir := newClock(t), newUser(t), longCounting(t), t.TempDir()
	jumps := 0
	jumpy := func(words string) string {
		cmd := u.command(strings.Fields(words)...)
		cmd.Args = append(append(c.words(), binary), cmd.Args[1:]...)
		cmd.Path, cmd.Err = "/usr/bin/env", nil
		var said, wrong strings.Builder
		cmd.Stdout, cmd.Stderr = &said, &wrong
		require.NoError(t, cmd.Start())
		ended := make(chan error, 1)
		go func() { ended <- cmd.Wait() }()
		for {
			select {
			case err := <-ended:
				require.NoError(t, err, "%s: %s", words, wrong.String())
				require.Empty(t, timeless.FindAllString(said.String()+wrong.String(), -1), "%s", said.String())
				return said.String()
			case <-time.After(300 * time.Millisecond):
				c.jump(hours())
				jumps++
			}
		}
	}
	last := -1.0
	for _, line := range objects[readout.Line](t, jumpy("watch --json --seconds 2 --input file:"+source)) {
		require.Greater(t, float64(line.ElapsedS), last)
		last = float64(line.ElapsedS)
	}
	require.InDelta(t, 2, last, 1)
	record := "take record --json --seconds 2 --scene 7 --takes " + dir + " --input file:" + source
	for range 3 {
		got := objects[take.Listed](t, jumpy(record+" --pattern {date}-{time}-{scene}-{take}"))[0]
		require.InDelta(t, 2, float64(got.Length), 1e-9)
	}
	got := objects[take.Listed](t, jumpy("take record --json --seconds 2 --takes "+t.TempDir()+" --before 2 --input demo"))[0]
	require.InDelta(t, 2, float64(got.BeforeKey), 0.5)
	for _, listed := range objects[take.Listing](t, u.ok("take", "list", "--takes", dir, "--json"))[0].Takes {
		require.Equal(t, take.Ended, listed.State)
		v := victim{channels: 1, dir: dir}
		require.NoError(t, v.mended(listed.Path))
		require.NoError(t, v.equal(listed.Path))
	}
	jumpy("take report --csv --takes " + dir)
	jumpy("report " + source)
	t.Logf("%d jumps", jumps)
}
