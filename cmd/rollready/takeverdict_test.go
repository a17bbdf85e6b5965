package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take"
	"rollready/dsp/figure"
	"rollready/presets"
)

// A take says of itself what a report of its file says, at once.
func TestAClippedTakeIsNotClean(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	good := tone(t, 440, -18, 3, stereo48)
	said := u.run("take", "record", "--input", "file:"+good, "--gain", "26", "--scene", "1", "--seconds", "1", "--takes", dir)
	require.Zero(t, said.code, said.err)
	require.Contains(t, said.out, "Processed tracks 1 and 2 overload: full scale was hit")
	require.Contains(t, said.out, "Loud moments overloaded the camera by 8 dB")
	require.Equal(t, said.out, u.ok("take", "list", "--takes", dir))
	got := objects[take.Listing](t, u.ok("take", "list", "--takes", dir, "--json"))[0].Takes[0]
	require.Equal(t, take.Listen, got.Verdict)
	require.True(t, got.Judged)
	r := u.run("report", got.Path, "--json")
	require.Equal(t, exitFinding, r.code)
	report := objects[reportJSON](t, r.out)[0].Files[0]
	require.Equal(t, "output-clipped", report.Findings[0].Code)
	require.Contains(t, report.Findings[0].Action, "The raw track is clean: take that.")
	require.Equal(t, string(got.Findings[0].Code), report.Findings[0].Code)
	require.InDelta(t, *report.IntegratedLUFS, float64(got.IntegratedLUFS), 0.01, "of the processed pair")
	require.Equal(t, 2, report.Channels)
	require.Len(t, report.Tracks, 4)
	require.Equal(t, "input", report.Tracks[3].Role)
	require.InDelta(t, -18, *report.Tracks[3].SamplePeakDBFS, 0.01)
	require.Contains(t, u.run("report", got.Path).out, "input tracks 3+4")
	require.Equal(t, figure.Figure(1), got.Length)
}

// Two channels of a take of one microphone are no stereo pair.
func TestATakeOfOneMicrophoneReadsAsItsProcessedTrack(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	u.run("take", "record", "--input", "file:"+tone(t, 1000, -20, 3, capture.Format{RateHz: 48000, Channels: 1}), "--gain", "-3", "--seconds", "1", "--takes", dir)
	report := objects[reportJSON](t, u.run("report", dir, "--json").out)[0].Files[0]
	require.InDelta(t, -20-3-3.01, *report.IntegratedLUFS, 0.05, "a 1 kHz sine of −20 dBFS in one channel reads −23.0 LUFS (ITU-R BS.1770: −3.01 LKFS at full scale)")
}

func TestTakesAreLookedForWhereTheMonitorPutsThem(t *testing.T) {
	u, dir := newUser(t), filepath.Join(t.TempDir(), "harbour")
	require.Contains(t, u.ok("take", "list"), "TAKE", "nothing was recorded yet")
	store, err := presets.Open(u.config)
	require.NoError(t, err)
	settings, err := store.Settings()
	require.NoError(t, err)
	settings.Recording.Dir = dir
	require.NoError(t, store.SaveSettings(settings))
	u.run("take", "record", "--input", "demo", "--seconds", "0.2", "--scene", "9")
	require.FileExists(t, filepath.Join(dir, "9_001.wav"))
	require.Contains(t, u.ok("take", "list"), "9 take 1")
	require.Contains(t, u.ok("take", "report", "--csv"), "9_001.wav")
	require.Contains(t, u.ok("take", "recover"), "9_001.wav: whole")
	for _, verb := range []string{"list", "record", "report"} {
		require.Contains(t, u.refused("take", verb, "--dir", dir), "--dir is --takes now")
	}

	_, err = take.Delete(filepath.Join(dir, "9_001.wav"))
	require.NoError(t, err)
	require.NotContains(t, u.ok("take", "list"), "9 take 1")
	require.Contains(t, u.ok("take", "list", "--deleted"), "9_001.wav")
	require.Contains(t, u.ok("take", "undelete", "9_001"), "is back")
	require.Contains(t, u.ok("take", "list"), "9 take 1")
	require.Contains(t, u.refused("take", "undelete", "9_001"), "take list --deleted")
}

// A recording without a date has no date, not one of the year 1.
func TestNoDateIsNoYearOne(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	require.NoError(t, os.Rename(tone(t, 440, -20, 1, stereo48), filepath.Join(dir, "odd.wav")))
	for _, args := range [][]string{{"list"}, {"list", "--json"}, {"report", "--csv"}, {"report", "--html", "-"}} {
		out := u.ok(append(append([]string{"take"}, args...), "--takes", dir)...)
		require.NotContains(t, out, "0001")
		require.False(t, strings.Contains(out, "Jan 1"), out)
	}
}
