package page

import (
	"bytes"
	"errors"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/survey"
	"rollready/dsp/bands"
	"rollready/dsp/figure"
	"rollready/dsp/loudness"
	"rollready/dsp/verdict"
)

// sample is a result with everything that can be on the page.
func sample(path string, noise float64) survey.Result {
	list := func(x ...float64) []figure.Figure { return figure.List(x) }
	r := survey.Result{Path: path, DurationS: 754.25, SampleRateHz: 48000, Channels: 2, SamplePeakDBFS: list(-3, -3.5), TruePeakDBTP: list(-2.8, -3.4),
		RMSDBFS: list(-28, -28), DCOffset: list(0.001, -0.012), ClippedRuns: []int64{0, 12}, FlatTops: []int64{0, 0}, Dropouts: 1,
		Whole: loudness.Whole{IntegratedLUFS: -23.04, RangeLU: 6.1, MaxMomentaryLUFS: -17, MaxShortTermLUFS: -19.5}, NoiseFloorDBFS: figure.Figure(noise + 3),
		NoiseFloorDBA: figure.Figure(noise), Hum: survey.Hum{Present: true, MainsHz: 50, LevelDBFS: -61.2}, Truncated: true}
	for i := range bands.Count {
		level := figure.Figure(-40 - math.Pow(float64(i-14)/4, 2))
		r.Bands = append(r.Bands, survey.Band{NominalHz: figure.Figure(bands.At(i).NominalHz), LevelDBFS: level, MaxDBFS: level + 12, RoomToneDBFS: figure.Figure(noise - 20)})
	}
	for i := range 1500 {
		r.Trace.PeakDBFS = append(r.Trace.PeakDBFS, -20+8*math.Sin(float64(i)/9))
		r.Trace.ShortTermLUFS = append(r.Trace.ShortTermLUFS, -26+3*math.Sin(float64(i)/90))
	}
	r.Trace.StepSeconds = 0.5
	for k := range 12 {
		r.Events = append(r.Events, survey.Event{Seconds: 61.25 + float64(k)*40, Code: verdict.InputClipped, Channel: 2})
	}
	r.Findings = []verdict.Finding{verdict.Clipped(verdict.On(2), 12), verdict.MainsHum(verdict.Caution, verdict.On(1), 50, -61.2, 33)}
	return r
}

func write(t *testing.T, r Report) string {
	t.Helper()
	var text bytes.Buffer
	require.NoError(t, Write(&text, r))
	if path := os.Getenv("ROLLREADY_TEST_PAGE"); path != "" { // to be looked at
		require.NoError(t, os.WriteFile(path, text.Bytes(), 0o644))
	}
	for _, never := range []string{"http:", "https:", "<script", "@import", "src=", "NaN", "ZgotmplZ"} {
		require.NotContains(t, text.String(), never)
	}
	return text.String()
}

func TestPageSaysWhatWasMeasured(t *testing.T) {
	hostile := sample(`day/<script>alert("x")</script>.wav`, -70)
	clean := sample("day/harbour 2.wav", -66)
	clean.Findings, clean.Events = nil, nil
	quieter := sample("day/harbour 3.wav", -72)
	quieter.Findings, quieter.Events = nil, nil
	text := write(t, Report{Made: time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC), Outcomes: []survey.Outcome{
		{Path: hostile.Path, Result: hostile}, {Path: clean.Path, Result: clean}, {Path: quieter.Path, Result: quieter},
		{Path: "torn.wav", Err: errors.New("open torn.wav: the file is empty")}}})
	for _, want := range []string{"3 recordings, 37:42.8 in all", "made 2026-03-04 12:00", "✕ faulty", "✓ clean", "−2.8 · −3.4 dBTP", "−23.0 LUFS",
		"−70.0 dBA", "50 Hz, −61.2 dBFS", "1.20 %", "full scale was hit 12 times", "at 1:01.3, 1:41.3", "and 4 more", "hum 50 Hz", "clipped",
		"cut short", "48 kHz, stereo", "Side by side", "lowest noise floor", "torn.wav: the file is empty", "not a measurement of sound exposure"} {
		require.Contains(t, text, want)
	}
	require.Equal(t, 1, strings.Count(text, "lowest noise floor"))
	require.Less(t, len(text), 800_000)
}

func TestOneSilentRecordingFillsAPage(t *testing.T) {
	none := figure.Figure(math.Inf(-1))
	r := survey.Result{Path: "a.wav", DurationS: 0.00002, SampleRateHz: 44100, Channels: 1, SamplePeakDBFS: []figure.Figure{none}, TruePeakDBTP: []figure.Figure{none},
		RMSDBFS: []figure.Figure{none}, DCOffset: []figure.Figure{0}, ClippedRuns: []int64{0}, FlatTops: []int64{0},
		Whole: loudness.Whole{IntegratedLUFS: none, MaxMomentaryLUFS: none, MaxShortTermLUFS: none}, NoiseFloorDBFS: none, NoiseFloorDBA: figure.Figure(math.NaN()), Hum: survey.Hum{LevelDBFS: none}}
	text := write(t, Report{Outcomes: []survey.Outcome{{Path: "a.wav", Result: r}}})
	require.Contains(t, text, "1 recording")
	require.Contains(t, text, "−∞ dBTP")
	require.NotContains(t, text, "Side by side")
	require.Contains(t, write(t, Report{}), "0 recordings")
}

func TestComparisonIsOnThePage(t *testing.T) {
	a, b := sample("a.wav", -70), sample("b.wav", -50)
	c := survey.Comparison{LaterS: -1.5, DriftPPM: 12.25, OverlapS: 750, GainDB: 6, Cleaner: "a", Measured: [2]survey.Result{a, b},
		Reasons: []survey.Reason{{Code: "noise", Cleaner: "a", Message: "A has 20 dB less noise."}}}
	c.Sides[0].Path, c.Sides[1].Path = "a.wav", "b.wav"
	text := write(t, Report{Outcomes: []survey.Outcome{{Path: "a.wav", Result: a}, {Path: "b.wav", Result: b}}, Compared: &c})
	for _, want := range []string{"The same take twice", "A is cleaner.", "A has 20 dB less noise.", "B began 1.500 s earlier than A", "12.2 ppm fast, 44 ms per hour", "6.0 dB louder"} {
		require.Contains(t, text, want)
	}
	require.NotContains(t, text, "Side by side")
}
