//go:build unix

package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestJourneyGainAndFilters(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.keys("Up", "Up")
	p.waitFor("+4.0 dB")
	p.keys("Enter")
	p.waitFor("Gain in dB")
	p.text("-6.5")
	p.keys("Enter")
	p.waitFor("−6.5 dB")

	x, y := p.place("◆")
	p.mouse(0, x, y, "M")
	for i := range 40 {
		p.mouse(32, x+i, y-i/4, "M")
	}
	p.mouse(0, 79, 3, "m")
	p.waitFor("+40.0 dB")

	p.keys("h", "s")
	p.waitFor("off")
	p.keys("s", "s", "Up")
	p.waitFor("90 Hz 12 dB/oct")
	p.keys("l", "Enter")
	p.text("9k")
	p.keys("Enter")
	p.waitFor("9 kHz 12 dB/oct")

	p.keys("Right", "Right")
	p.waitFor("▲ 1.6 kHz")
	p.keys("Escape")
	p.keys("q")
	p.waitFor("ended: <nil>")
	p.clean()
	kept := p.kept()
	require.Equal(t, 40.0, kept.Chain.GainDB)
	require.Equal(t, 9000.0, kept.Chain.LowPass.Hz)
	p.start()
	p.waitFor("9 kHz 12 dB/oct")
}

func TestJourneyThemesAndHelp(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	look := func() string { return p.tmux("capture-pane", "-p", "-e") }
	require.Contains(t, look(), "48;2;16;21;27m", "night's ground")
	p.keys("t")
	p.until("day's ground", func(string) bool { return strings.Contains(look(), "48;2;255;255;255m") })
	p.keys("t")
	p.until("no colour", func(string) bool { return !strings.Contains(look(), "48;2;") })
	p.keys("?")
	p.waitFor("Keys of Monitor")
	p.keys("x")
	p.waitFor("suspend; fg comes back")
	p.keys("x")
	p.waitFor("headroom")
}

func TestJourneyPresets(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.keys("2")
	p.waitFor("outdoor wind")
	p.keys("s", "C-u")
	p.text("harbour wall")
	p.keys("Enter")
	p.waitFor("Saved harbour wall")
	require.FileExists(t, filepath.Join(p.home, "presets", "harbour wall.toml"))
	p.keys("d")
	p.waitFor("Deleted harbour wall; u brings it back")
	require.NoFileExists(t, filepath.Join(p.home, "presets", "harbour wall.toml"))
	p.keys("u")
	p.waitFor("harbour wall is back")
	require.FileExists(t, filepath.Join(p.home, "presets", "harbour wall.toml"))
	x, y := p.place("flat")
	p.mouse(0, x, y, "M")
	p.mouse(0, x, y, "m")
	p.waitFor("▸ flat")
	p.keys("Enter")
	p.waitFor("flat is in use")
}

func TestJourneyResize(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.tmux("resize-window", "-x", "120", "-y", "40")
	p.until("40 rows", func(s string) bool {
		return strings.Contains(s, "loudness momentary") && strings.Count(strings.TrimRight(s, "\n"), "\n") == 39
	})
	p.tmux("resize-window", "-x", "40", "-y", "10")
	p.waitFor("needs 60 × 18")
	p.tmux("resize-window", "-x", "60", "-y", "18")
	p.waitFor("headroom")
	p.tmux("resize-window", "-x", "80", "-y", "24")
	p.waitFor("loudness M")
	p.keys("Up")
	p.waitFor("+3.5 dB")
}

func TestJourneySuspend(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.keys("C-z")
	p.waitFor("Stopped")
	p.clean()
	p.say("fg")
	p.waitFor("headroom")
	x, y := p.place("◆")
	p.until("drag after coming back", func(s string) bool {
		p.mouse(0, x, y, "M")
		p.mouse(32, x+3, y, "M")
		p.mouse(0, x+3, y, "m")
		return !strings.Contains(s, "+3.0 dB")
	})
	p.keys("C-c")
	p.waitFor("ended: <nil>")
	p.clean()
}

func TestJourneyTerminate(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.keys("Up")
	p.waitFor("+3.5 dB")
	pid, err := os.ReadFile(filepath.Join(p.home, "pid"))
	require.NoError(t, err)
	p.tmux("run-shell", "kill -TERM "+string(pid))
	p.waitFor("ended: <nil>")
	p.clean()
	require.Equal(t, 3.5, p.kept().Chain.GainDB)
}

func TestJourneyPanicElsewhere(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	require.NoError(t, os.WriteFile(filepath.Join(p.home, "panic"), nil, 0o644))
	p.waitFor("ready>")
	p.until("what happened", func(string) bool {
		return strings.Contains(p.tmux("capture-pane", "-p", "-S", "-200"), "stopped by a mistake of its own: asked to")
	})
	p.clean()
}

// TestJourneyStorm sends fast mouse motion by the thousand: no report may turn
// into a key. A stray q would end the program, a digit change the screen.
func TestJourneyStorm(t *testing.T) {
	p := openPane(t, 120, 40)
	p.start()
	for range 20 {
		args := []string{"send-keys", "-l"}
		var storm strings.Builder
		for i := range 300 {
			storm.WriteString("\x1b[<35;")
			storm.WriteString(figurePlain(float64(1 + i%119)))
			storm.WriteString(";20M")
		}
		p.tmux(append(args, storm.String())...)
	}
	p.keys("Up")
	s := p.waitFor("+3.5 dB")
	require.Contains(t, s, "dB", "still the monitor")
	require.Contains(t, s, "▲ 1 kHz")
	p.keys("q")
	p.waitFor("ended: <nil>")
}
