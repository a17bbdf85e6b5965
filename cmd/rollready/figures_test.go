package main

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/lineup"
)

// asciiMinus finds a number with the sign that programs read, and silence
// worded by a program.
var asciiMinus = regexp.MustCompile(`(^|[\s(])-[0-9]|(?i)\binf\b`)

func TestPeopleReadOneMinusSign(t *testing.T) {
	u := newUser(t)
	loud, silent := tone(t, 1000, -20, 3, stereo48), file(t, make([]float32, 15*96000), stereo48)
	speech := file(t, talk(15, 5, 15, stereo48), stereo48)
	u.ok("preset", "save", "plain", "--gain", "-3.5", "--limit", "-1")
	u.ok("camera", "save", "b camera", "--offset", "-10.5", "--clip", "-0.5", "--target", "-14..-8")
	u.ok("camera", "save", "c camera", "--offset", "-4")
	for _, args := range [][]string{
		{"watch", "--fast", "--rate", "1", "--input", "file:" + loud},
		{"watch", "--fast", "--rate", "1", "--input", "file:" + silent},
		{"check", "--input", "file:" + silent}, {"check", "--input", "file:" + speech, "--gain", "-40"},
		{"report", loud, silent}, {"report", "--compare", speech, speech},
		{"preset", "show", "plain"}, {"camera", "show", "b camera"}, {"camera", "compare", "b camera", "c camera"},
		{"process", loud, loud + ".out.wav", "--preset", "plain"},
		{"lineup", "plan", "--output-level", "-10dBV", "--setting", "low=-30dBV"},
	} {
		out := u.run(args...).out
		require.NotEmpty(t, out, args)
		require.Empty(t, asciiMinus.FindString(out), "%s\n%s", args, out)
	}
	require.Contains(t, u.run("report", silent).out, "−∞ dBTP")
	lines := strings.Split(strings.TrimSpace(u.ok("watch", "--fast", "--rate", "1", "--input", "file:"+silent)), "\n")
	require.Contains(t, lines[0], "input     −∞     −∞ dBFS", "in the width of a figure")
}

func TestPeopleReadOneMinusSignInALineUp(t *testing.T) {
	r := lineup.Result{OffsetDB: -4, ClipDBFS: -3, NoiseDBFS: -70, NoiseDBA: -72, ClockPPM: -2, Response: []lineup.Point{{Hz: 31.5, LevelDB: -12.3}, {Hz: 1000, LevelDB: -0.01}}}
	r.Target.LowDBFS, r.Target.HighDBFS = -12, -6
	text := r.Text()
	require.Empty(t, asciiMinus.FindString(text), text)
	require.Contains(t, text, "   31.5 Hz  −12.3 ")
	require.Contains(t, text, "   1000 Hz    0.0 ")
}
