//go:build unix

package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rollready/tui/format"

	"github.com/stretchr/testify/require"
)

func TestJourneyGainAndFilters(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.Keys("Up", "Up")
	p.WaitFor("+4.0 dB")
	p.Keys("Enter")
	p.WaitFor("Gain in dB")
	p.Line("-6.5")
	p.WaitFor("−6.5 dB")

	x, y := p.Place("◆")
	p.Mouse(0, x, y, "M")
	for i := range 40 {
		p.Mouse(32, x+i, y-i/4, "M")
	}
	p.Mouse(0, 79, 3, "m")
	p.WaitFor("+40.0 dB")

	p.Keys("h", "s")
	p.WaitFor("off")
	p.Keys("s", "s", "Up")
	p.WaitFor("90 Hz 12 dB/oct")
	p.Keys("l", "Enter")
	p.Line("9k")
	p.WaitFor("9 kHz 12 dB/oct")

	p.Keys("Right", "Right")
	p.WaitFor("▲ 1.6 kHz")
	p.Keys("Escape")
	p.Keys("q")
	p.WaitFor("ended: <nil>")
	p.clean()
	kept := p.kept()
	require.Equal(t, 40.0, kept.Chain().GainDB)
	require.Equal(t, 9000.0, kept.Chain().LowPass.Hz)
	p.start()
	p.WaitFor("9 kHz 12 dB/oct")
}

func TestJourneyThemesAndHelp(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	require.Contains(t, p.Look(), "48;2;16;21;27m", "night's ground")
	p.Keys("t")
	p.Until("day's ground", func(string) bool { return strings.Contains(p.Look(), "48;2;255;255;255m") })
	p.Keys("t")
	p.Until("no colour", func(string) bool { return !strings.Contains(p.Look(), "48;2;") })
	p.Keys("?")
	p.WaitFor("Keys of Monitor")
	p.Keys("x")
	p.WaitFor("1 Monitor, 2 Presets")
	p.Until("the end of the help", func(s string) bool {
		p.Keys("x")
		return strings.Contains(s, "headroom")
	})
}

func TestJourneyPresets(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.Keys("2")
	p.WaitFor("outdoor wind")
	p.Keys("k")
	p.Line("harbour wall")
	p.WaitFor("Kept harbour wall")
	require.FileExists(t, filepath.Join(p.home, "presets", "harbour wall.toml"))
	p.Keys("d")
	p.WaitFor("Deleted harbour wall; u brings it back")
	require.NoFileExists(t, filepath.Join(p.home, "presets", "harbour wall.toml"))
	p.Keys("u")
	p.WaitFor("harbour wall is back")
	require.FileExists(t, filepath.Join(p.home, "presets", "harbour wall.toml"))
	p.Press("flat")
	p.WaitFor("▸ flat")
	p.Keys("Enter")
	p.WaitFor("flat is in use")
}

func TestJourneyResize(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.Tmux("resize-window", "-x", "120", "-y", "40")
	p.Until("40 rows", func(s string) bool {
		return strings.Contains(s, "loudness momentary") && strings.Count(strings.TrimRight(s, "\n"), "\n") == 39
	})
	p.Tmux("resize-window", "-x", "40", "-y", "10")
	p.WaitFor("needs 60 × 18")
	p.Tmux("resize-window", "-x", "60", "-y", "18")
	p.WaitFor("headroom")
	p.Tmux("resize-window", "-x", "80", "-y", "24")
	p.WaitFor("loudness M")
	p.Keys("Up")
	p.WaitFor("+3.5 dB")
}

func TestJourneySuspend(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.Keys("C-z")
	p.WaitFor("Stopped")
	p.clean()
	p.Line("fg")
	p.WaitFor("headroom")
	x, y := p.Place("◆")
	p.Until("drag after coming back", func(s string) bool {
		p.Mouse(0, x, y, "M")
		p.Mouse(32, x+3, y, "M")
		p.Mouse(0, x+3, y, "m")
		return !strings.Contains(s, "+3.0 dB")
	})
	p.Keys("C-c")
	p.WaitFor("ended: <nil>")
	p.clean()
}

func TestJourneyTerminate(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	p.Keys("Up")
	p.WaitFor("+3.5 dB")
	pid, err := os.ReadFile(filepath.Join(p.home, "pid"))
	require.NoError(t, err)
	p.Tmux("run-shell", "kill -TERM "+string(pid))
	p.WaitFor("ended: <nil>")
	p.clean()
	kept := p.kept()
	require.Equal(t, 3.5, kept.Chain().GainDB)
}

func TestJourneyPanicElsewhere(t *testing.T) {
	p := openPane(t, 80, 24)
	p.start()
	require.NoError(t, os.WriteFile(filepath.Join(p.home, "panic"), nil, 0o644))
	p.WaitForShell()
	p.Until("what happened", func(string) bool {
		return strings.Contains(p.Tmux("capture-pane", "-p", "-S", "-200"), "stopped by a mistake of its own: asked to (tmux_test.go:")
	})
	require.NotContains(t, p.Screen(), "goroutine", "one line")
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
			storm.WriteString(format.FigurePlain(float64(1 + i%119)))
			storm.WriteString(";20M")
		}
		p.Tmux(append(args, storm.String())...)
	}
	p.Keys("Up")
	s := p.WaitFor("+3.5 dB")
	require.Contains(t, s, "dB", "still the monitor")
	require.Contains(t, s, "▲ 1 kHz")
	p.Keys("q")
	p.WaitFor("ended: <nil>")
}

// TestJourneyFarView: from a take into the far view at every size and back by
// keys that elsewhere quit and mute; the take goes on.
func TestJourneyFarView(t *testing.T) {
	p := openPane(t, 120, 40)
	p.start()
	p.Keys("C-r")
	p.WaitFor("● REC")
	for _, size := range [][2]int{{120, 40}, {60, 18}, {200, 60}} {
		p.Tmux("resize-window", "-x", fmt.Sprint(size[0]), "-y", fmt.Sprint(size[1]))
		p.WaitFor("headroom")
		p.Keys("z")
		p.Until("the far view", func(s string) bool {
			rows := strings.Split(strings.TrimRight(s, "\n"), "\n")
			return len(rows) == size[1] && strings.HasPrefix(rows[size[1]-1], "██") && !strings.Contains(s, "headroom")
		})
		p.Keys("q")
		p.WaitFor("headroom", "REC")
	}
	p.Keys("z", "0")
	p.WaitFor("headroom", "REC")
	p.Keys("q")
	p.WaitFor("is rolling.")
}
