package theme

import (
	"math"
	"strconv"
	"testing"

	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
	"rollready/tui/canvas"
)

// luminance is the relative luminance of WCAG 2.1, section "relative
// luminance" of its glossary.
func luminance(t *testing.T, hex string) float64 {
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	require.NoError(t, err)
	linear := func(v uint64) float64 {
		c := float64(v&255) / 255
		if c <= 0.03928 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(n>>16) + 0.7152*linear(n>>8) + 0.0722*linear(n)
}

// TestTextCanBeRead: text has the contrast WCAG 2.1 asks for, success
// criterion 1.4.3 (AA, 4.5:1); the main text that of 1.4.6 (AAA, 7:1).
func TestTextCanBeRead(t *testing.T) {
	for name, colors := range map[string][]string{"night": night(), "day": day()} {
		for _, c := range []struct {
			fg, bg canvas.Color
			least  float64
		}{
			{Ink, Ground, 7}, {Ink, Panel, 7}, {Dim, Ground, 4.5}, {Dim, Panel, 4.5}, {Choice, Ground, 4.5}, {Choice, Panel, 4.5},
			{OnZone, Low, 4.5}, {OnZone, Target, 4.5}, {OnZone, Hot, 4.5}, {OnZone, Over, 4.5}, {OnZone, Demo, 7},
			{Curve, Ground, 3}, {Room, Ground, 3}, {Bar, Ground, 3}, {Hold, Ground, 7}, // marks: 3:1 after criterion 1.4.11
		} {
			a, b := luminance(t, colors[c.fg]), luminance(t, colors[c.bg])
			require.GreaterOrEqual(t, (max(a, b)+0.05)/(min(a, b)+0.05), c.least, "%s: %s on %s", name, colors[c.fg], colors[c.bg])
		}
	}
}

func TestZonesWithoutColour(t *testing.T) {
	mono := New("mono", colorprofile.TrueColor)
	seen := map[rune]bool{}
	for _, z := range []camera.Zone{camera.Low, camera.Target, camera.Hot, camera.Over} {
		_, pattern := mono.Zone(z)
		require.False(t, seen[pattern], "every zone has its own pattern")
		seen[pattern] = true
	}
}

func TestNames(t *testing.T) {
	require.Equal(t, "mono", New("day", colorprofile.ASCII).Name, "a terminal without colour")
	require.Equal(t, "night", New("unknown", colorprofile.TrueColor).Name)
	require.Equal(t, "day", Next("night"))
	require.Equal(t, "night", Next("mono"))
}

// okabeIto are the eight colours of the set: black, orange, sky blue, bluish
// green, yellow, blue, vermillion, reddish purple (from memory).
var okabeIto = []string{"#000000", "#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7"}

// TestMeaningsAreOfThePublishedSet: what a colour says can be told apart by
// colour-blind readers, and no two things in one plot look alike.
func TestMeaningsAreOfThePublishedSet(t *testing.T) {
	for _, c := range []canvas.Color{Low, Target, Hot, Over, Demo, Curve, Room, Choice} {
		require.Contains(t, okabeIto, night()[c])
	}
	for _, colors := range [][]string{night(), day()} {
		seen := map[string]bool{}
		for _, c := range []canvas.Color{Curve, Room, Choice, Bar, Hold, Hot, Over, Demo} {
			require.False(t, seen[colors[c]], "%v", colors[c])
			seen[colors[c]] = true
		}
	}
}

// TestEveryStyleIsWhole: each theme has a colour for each use, none but mono
// leaves one to the terminal.
func TestEveryStyleIsWhole(t *testing.T) {
	for name, hex := range map[string][]string{"night": night(), "day": day()} {
		require.Len(t, hex, int(colors), name)
		for c, color := range hex[Ground:] {
			require.Regexp(t, "^#[0-9a-f]{6}$", color, "%s: %d", name, c)
		}
	}
	require.True(t, New("mono", colorprofile.TrueColor).Mono)
}
