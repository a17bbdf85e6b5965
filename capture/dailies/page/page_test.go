package page

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies"
	"rollready/dsp/match"
	"rollready/dsp/mend"
	"rollready/dsp/timecode"
	"rollready/dsp/verdict"
)

func report() Report {
	take := dailies.Recording{Path: "/takes/mill_001.wav", RateHz: 48000, Frames: 48000 * 60, Scene: "mill", Take: "1", Started: time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)}
	one := dailies.Clip{Recording: dailies.Recording{Path: "/card/<b>one.mp4", RateHz: 48000, Frames: 480000, Channels: 2,
		Picture: dailies.Picture{Rate: timecode.Rate{Num: 25, Den: 1}, Frames: 250, Timecode: "10:00:00:00"}}}
	one.Parts = []dailies.Part{{Take: take, Fit: match.Fit{OffsetS: 20, PPM: -30, ToS: 10, Agreeing: 19, Places: 20}}}
	one.Findings = []verdict.Finding{{Severity: verdict.Stop, Message: "It clips."}}
	one.Heard = &dailies.Heard{Verdict: mend.Verdict{MovesDB: 7.5, BadS: 1, Stretches: []mend.Stretch{
		{From: 48000, To: 72000, Faults: []mend.Fault{mend.Clipped}},
		{From: 96000, To: 120000, Faults: []mend.Fault{mend.AutoLevel}, MovedDB: -8},
		{From: 240000, To: 264000, Faults: []mend.Fault{mend.BrokenUp}, TakeBad: true}}}}
	two := dailies.Clip{Recording: dailies.Recording{Path: "/card/two.wav", RateHz: 48000, Frames: 48000}, Silent: true}
	return Report{Made: time.Date(2026, 5, 4, 20, 0, 0, 0, time.UTC), Outputs: []dailies.Output{{Clip: 0, Path: "/out/one.wav"}, {Clip: 0, Path: "/out/one_mended.wav", Mended: true}},
		Day: dailies.Day{Clips: []dailies.Clip{one, two}, Takes: []dailies.Recording{take, {Path: "/takes/mill_002.wav", RateHz: 48000, Frames: 48000}},
			Failed: []dailies.Failure{{Path: "/card/bad.mp4", Err: "open /card/bad.mp4: copy it anew"}}}}
}

func TestThePageTellsTheDay(t *testing.T) {
	var text bytes.Buffer
	require.NoError(t, Write(&text, report()))
	for _, want := range []string{"2 clips, 1 of them with a take; 2 takes, 1 of them without a clip", "&lt;b&gt;one.mp4", "10:00:00:00 at 25 pictures per second",
		"which had run for 20.0000 s when the clip began", "19 of 20 places", "0:01.0–0:01.5: clipped; taken from the take",
		"automatic level, −8 dB off", "the take is no better there: left as it is", "It clips.", "hardly anything to be heard", "mill_002.wav, 0:01.0", "copy it anew",
		"use: take", "clipped for 0.5 s"} {
		require.Contains(t, text.String(), want)
	}
	require.NotContains(t, text.String(), "its level moves by", "the stretches say it already")
	require.NotRegexp(t, regexp.MustCompile(`(?i)(src|href)="(?:https?:)?//|@import|url\(`), text.String(), "nothing comes from elsewhere")
}

// The few lines that sort are read by a JavaScript engine, where there is one.
func TestTheSortingIsJavaScript(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("install nodejs for this test")
	}
	script := regexp.MustCompile(`(?s)<script>(.*)</script>`).FindStringSubmatch(pageText)
	require.NotNil(t, script)
	path := filepath.Join(t.TempDir(), "sort.js")
	require.NoError(t, os.WriteFile(path, []byte(script[1]), 0o600))
	out, err := exec.Command(node, "--check", path).CombinedOutput()
	require.NoError(t, err, string(out))
}
