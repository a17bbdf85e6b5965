package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/capture/wavfile"
)

// reported is what report --json prints of a file.
type reported struct {
	Path             string          `json:"path"`
	DurationS        float64         `json:"duration_s"`
	SampleRateHz     int             `json:"sample_rate_hz"`
	Channels         int             `json:"channels"`
	SamplePeakDBFS   []*float64      `json:"sample_peak_dbfs"`
	TruePeakDBTP     []*float64      `json:"true_peak_dbtp"`
	RMSDBFS          []*float64      `json:"rms_dbfs"`
	DCOffset         []float64       `json:"dc_offset"`
	ClippedRuns      []int64         `json:"clipped_runs"`
	FlatTops         []int64         `json:"flat_tops"`
	Dropouts         int64           `json:"dropouts"`
	NonFinite        int64           `json:"non_finite_samples"`
	IntegratedLUFS   *float64        `json:"integrated_lufs"`
	LoudnessRangeLU  float64         `json:"loudness_range_lu"`
	MaxMomentaryLUFS *float64        `json:"max_momentary_lufs"`
	MaxShortTermLUFS *float64        `json:"max_short_term_lufs"`
	NoiseFloorDBFS   *float64        `json:"noise_floor_dbfs"`
	NoiseFloorDBA    *float64        `json:"noise_floor_dba"`
	Hum              json.RawMessage `json:"hum"`
	Bands            []struct {
		NominalHz    float64  `json:"nominal_hz"`
		LevelDBFS    *float64 `json:"level_dbfs"`
		MaxDBFS      *float64 `json:"max_dbfs"`
		RoomToneDBFS *float64 `json:"room_tone_dbfs"`
	} `json:"bands"`
	ChannelWeights []float64 `json:"channel_weights"`
	Tracks         []struct {
		Channel        int      `json:"channel"`
		Name           string   `json:"name"`
		Role           string   `json:"role"`
		SamplePeakDBFS *float64 `json:"sample_peak_dbfs"`
		TruePeakDBTP   *float64 `json:"true_peak_dbtp"`
		RMSDBFS        *float64 `json:"rms_dbfs"`
		DCOffset       float64  `json:"dc_offset"`
		ClippedRuns    int64    `json:"clipped_runs"`
		FlatTops       int64    `json:"flat_tops"`
	} `json:"tracks"`
	Roles []struct {
		Role             string          `json:"role"`
		Channels         []int           `json:"channels"`
		TruePeakDBTP     *float64        `json:"true_peak_dbtp"`
		IntegratedLUFS   *float64        `json:"integrated_lufs"`
		LoudnessRangeLU  *float64        `json:"loudness_range_lu"`
		MaxMomentaryLUFS *float64        `json:"max_momentary_lufs"`
		MaxShortTermLUFS *float64        `json:"max_short_term_lufs"`
		NoiseFloorDBFS   *float64        `json:"noise_floor_dbfs"`
		NoiseFloorDBA    *float64        `json:"noise_floor_dba"`
		ClippedRuns      int64           `json:"clipped_runs"`
		Hum              json.RawMessage `json:"hum"`
	} `json:"roles"`
	Strips []struct {
		Name           string   `json:"name"`
		Channel        int      `json:"channel"`
		SamplePeakDBFS *float64 `json:"sample_peak_dbfs"`
		TruePeakDBTP   *float64 `json:"true_peak_dbtp"`
		RMSDBFS        *float64 `json:"rms_dbfs"`
		VoiceDBFS      *float64 `json:"voice_dbfs"`
		NoiseFloorDBFS *float64 `json:"noise_floor_dbfs"`
		ClippedRuns    int64    `json:"clipped_runs"`
		FlatTops       int64    `json:"flat_tops"`
	} `json:"strips"`
	Safety *struct {
		Louder  int     `json:"louder_channel"`
		Lower   int     `json:"lower_channel"`
		LowerDB float64 `json:"lower_db"`
		Use     []struct {
			Channel int     `json:"channel"`
			FromS   float64 `json:"from_s"`
			ToS     float64 `json:"to_s"`
			Cut     bool    `json:"cut"`
		} `json:"use"`
	} `json:"safety"`
	Findings []struct {
		Code, Severity, Place, Track, Message, Action string
		Channel                                       int
		Channels                                      []int
		ByDB                                          int `json:"by_db"`
	} `json:"findings"`
	Truncated bool `json:"truncated"`
}

type reportJSON struct {
	Files   []reported      `json:"files"`
	Compare json.RawMessage `json:"compare"`
}

// put writes frames under a name in a folder.
func put(t *testing.T, folder, name string, block []float32, f capture.Format, e wavfile.Encoding) string {
	t.Helper()
	path := filepath.Join(folder, name)
	w, err := wavfile.Create(path, f, e)
	require.NoError(t, err)
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close())
	return path
}

// steps is a 1 kHz sine on both channels, level by level.
func steps(secondsAndDBFS ...float64) (block []float32) {
	frame := 0
	for k := 0; k < len(secondsAndDBFS); k += 2 {
		amplitude := math.Pow(10, secondsAndDBFS[k+1]/20)
		for range int(math.Round(secondsAndDBFS[k] * 48000)) {
			v := float32(amplitude * math.Sin(2*math.Pi*1000*float64(frame)/48000))
			block = append(block, v, v)
			frame++
		}
	}
	return block
}

func TestReportOfFoldersPatternsAndBadFiles(t *testing.T) {
	u, folder := newUser(t), t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "day2", ".trash"), 0o755))
	one := put(t, folder, "b harbour.wav", steps(4, -20), stereo48, wavfile.PCM16)
	two := put(t, filepath.Join(folder, "day2"), "a kitchen.WAV", steps(1, -20), stereo48, wavfile.Float64)
	put(t, filepath.Join(folder, "day2", ".trash"), "gone.wav", steps(1, -20), stereo48, wavfile.PCM16)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "call sheet.txt"), []byte("08:00 harbour"), 0o644))

	names := func(args ...string) (paths []string) {
		for _, f := range objects[reportJSON](t, u.ok(append([]string{"report", "--json"}, args...)...))[0].Files {
			paths = append(paths, f.Path)
		}
		return paths
	}
	require.Equal(t, []string{one, two}, names(folder))
	require.Equal(t, []string{two, one}, names(two, one, two), "in the order given, each once")
	require.Equal(t, []string{one}, names(filepath.Join(folder, "*.wav")))

	table := u.ok("report", folder)
	require.Contains(t, table, "FILE")
	require.Contains(t, table, "−20.0 dBTP")
	require.Contains(t, table, "No voice stands out")
	lines, err := csv.NewReader(strings.NewReader(u.ok("report", folder, "--csv"))).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 3)
	require.Equal(t, []string{"path", one, two}, []string{lines[0][0], lines[1][0], lines[2][0]})

	bad := filepath.Join(folder, "notes.wav")
	require.NoError(t, os.WriteFile(bad, []byte("remember the gulls\n"), 0o644))
	r := u.run("report", "--json", folder, filepath.Join(folder, "absent.wav"))
	require.Equal(t, 2, r.code)
	require.Len(t, objects[reportJSON](t, r.out)[0].Files, 2, "bad files stop nothing")
	require.Contains(t, r.err, "notes.wav: this is text")
	require.Contains(t, r.err, "absent.wav: no such file")
	require.Contains(t, r.err, "2 of 4 files could not be measured")

	clipped := put(t, folder, "hot.wav", steps(1, 6), stereo48, wavfile.PCM24)
	require.Equal(t, 1, u.run("report", clipped).code, "a finding that stops")
}

func TestReportRefusesWrongUse(t *testing.T) {
	u, folder := newUser(t), t.TempDir()
	one := put(t, folder, "one.wav", steps(1, -20), stereo48, wavfile.PCM16)
	for _, c := range []struct {
		args []string
		want string
	}{
		{nil, "no file given"},
		{[]string{one, "--json", "--csv"}, "choose one of --json and --csv"},
		{[]string{one, "--compare"}, "files given: 1, --compare needs 2"},
		{[]string{one, one, "--compare", "--csv"}, "choose one of --compare and --csv"},
		{[]string{one, one, "--compare"}, "were running together for only 1.0 s"},
		{[]string{one, "--html", folder}, "that is a folder"},
		{[]string{one, "--html", filepath.Join(folder, "none", "x.html")}, "make it first"},
		{[]string{t.TempDir()}, "no recordings in it"},
		{[]string{filepath.Join(folder, "[")}, "pattern"},
	} {
		require.Contains(t, u.refused(append([]string{"report"}, c.args...)...), c.want, "%v", c.args)
	}
}

func TestReportAsAPage(t *testing.T) {
	u, folder := newUser(t), t.TempDir()
	put(t, folder, "one.wav", steps(4, -20), stereo48, wavfile.PCM16)
	put(t, folder, "two & more.wav", steps(4, -30), stereo48, wavfile.PCM16)
	page := filepath.Join(folder, "day.html")
	require.NoError(t, os.WriteFile(page, []byte("old"), 0o644))
	u.ok("report", folder, "--html", page)
	raw, err := os.ReadFile(page)
	require.NoError(t, err)
	require.Contains(t, string(raw), "two &amp; more.wav")
	require.True(t, strings.HasSuffix(string(raw), "</html>\n"))
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, left, 3, "no half file is left behind")
}

// syllables is noise in bursts, the same for the same seed.
func syllables(seconds float64, seed uint32) []float32 {
	block := make([]float32, 0, int(seconds*96000))
	loud := float32(0)
	for i := range int(seconds * 48000) {
		if i%6000 == 0 {
			seed = seed*1664525 + 1013904223
			loud = float32(seed>>8) / (1 << 24)
			loud *= loud * 0.5
		}
		seed = seed*1664525 + 1013904223
		v := loud * float32(int32(seed)) / (1 << 31)
		block = append(block, v, v)
	}
	return block
}

func TestReportComparesTwoRecordings(t *testing.T) {
	u, folder := newUser(t), t.TempDir()
	sound := syllables(20, 1)
	camera := put(t, folder, "camera.wav", sound, stereo48, wavfile.PCM24)
	late := sound[2*72000:]
	hot := make([]float32, len(late))
	for i, v := range late {
		hot[i] = max(-1, min(1, 4*v))
	}
	laptop := put(t, folder, "laptop.wav", hot, stereo48, wavfile.PCM24)
	page := filepath.Join(folder, "both.html")
	text := u.ok("report", "--compare", camera, laptop, "--html", page)
	for _, want := range []string{"A is cleaner.", "A has no overloads, B has", "B began 1.500 s later than A", "True peak",
		"camera.wav, 20.0 s\n", "laptop.wav, 18.5 s\n", "In the 18.5 s that both have", "Keeps up with the other"} {
		require.Contains(t, text, want)
	}
	raw, err := os.ReadFile(page)
	require.NoError(t, err)
	for _, want := range []string{"The same take twice", "camera.wav, 0:20.0 ", "laptop.wav, 0:18.5<", "In the 18.5 s that both have", "Overview of the whole recordings", "<dt>Length</dt><dd>0:20.0</dd>"} {
		require.Contains(t, string(raw), want)
	}
	got := objects[reportJSON](t, u.ok("report", "--compare", camera, laptop, "--json"))[0]
	require.Len(t, got.Files, 2)
	require.InDelta(t, 20, got.Files[0].DurationS, 0.001, "its own length")
	require.InDelta(t, 18.5, got.Files[1].DurationS, 0.001)
	require.Equal(t, objects[reportJSON](t, u.ok("report", camera, "--json"))[0].Files[0], got.Files[0], "as it is reported alone")
	var c struct {
		LaterS  float64  `json:"later_s"`
		Drift   *float64 `json:"drift_ppm"`
		Cleaner string   `json:"cleaner"`
	}
	require.NoError(t, json.Unmarshal(got.Compare, &c))
	require.InDelta(t, 1.5, c.LaterS, 0.0005)
	require.Nil(t, c.Drift, "too short to tell")
	require.Equal(t, "a", c.Cleaner)
}

// long makes a file of many hours that takes no room: silence under a header.
func long(t *testing.T) string {
	t.Helper()
	path := put(t, t.TempDir(), "long.wav", steps(1, -20), stereo48, wavfile.PCM24)
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	data := bytes.Index(raw, []byte("data"))
	copy(raw[data+4:], []byte{0, 0, 0, 0xc0}) // 3 GiB
	require.NoError(t, os.WriteFile(path, raw, 0o600))
	require.NoError(t, os.Truncate(path, int64(data)+8+(3<<30)))
	return path
}

func TestInterruptedReportLeavesNothing(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("looks into /proc to see the program at work")
	}
	u, path, page := newUser(t), long(t), filepath.Join(t.TempDir(), "page.html")
	cmd := u.command("report", path, "--html", page)
	var errOut strings.Builder
	cmd.Stderr = &errOut
	require.NoError(t, cmd.Start())
	require.Eventually(t, func() bool { return hasOpen(cmd.Process.Pid, path) }, 20*time.Second, 5*time.Millisecond)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	require.Error(t, cmd.Wait())
	require.Equal(t, 2, cmd.ProcessState.ExitCode())
	require.Contains(t, errOut.String(), "stopped: nothing was written")
	left, err := os.ReadDir(filepath.Dir(page))
	require.NoError(t, err)
	require.Empty(t, left)
}

func hasOpen(pid int, path string) bool {
	links, _ := filepath.Glob(fmt.Sprintf("/proc/%d/fd/*", pid))
	for _, link := range links {
		if to, err := os.Readlink(link); err == nil && to == path {
			return true
		}
	}
	return false
}

// script of util-linux gives the program a terminal.
func TestProgressIsShownOnATerminal(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("script takes other flags elsewhere")
	}
	soundtest.Need(t, "script")
	u, path := newUser(t), long(t)
	cmd := u.command()
	inTerminal := exec.Command("script", "-qec", fmt.Sprintf("%q report %q", binary, path), "/dev/null")
	inTerminal.Env, inTerminal.SysProcAttr = append(cmd.Env, "TERM=dumb"), &syscall.SysProcAttr{Setpgid: true}
	var shown strings.Builder
	out, err := inTerminal.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, inTerminal.Start())
	t.Cleanup(func() {
		_ = syscall.Kill(-inTerminal.Process.Pid, syscall.SIGKILL)
		_ = inTerminal.Wait()
	})
	chunk := make([]byte, 4096)
	for !strings.Contains(shown.String(), "measured 0 of 1 files") {
		n, err := out.Read(chunk)
		require.NoError(t, err, shown.String())
		shown.Write(chunk[:n])
	}
}

func TestReportTellsOfSamplesThatAreNoNumbers(t *testing.T) {
	u, folder := newUser(t), t.TempDir()
	sound := syllables(6, 1)
	clean := put(t, folder, "clean.wav", sound, stereo48, wavfile.Float32)
	sound[2*96000], sound[2*96001+1], sound[2*96002] = float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1))
	bad := put(t, folder, "bad.wav", sound, stereo48, wavfile.Float32)
	const sentence = "3 samples were not finite numbers and count as silence."
	page := filepath.Join(folder, "both.html")
	text := u.ok("report", clean, bad, "--html", page)
	require.Equal(t, 1, strings.Count(text, sentence), text)
	raw, err := os.ReadFile(page)
	require.NoError(t, err)
	require.Equal(t, 1, strings.Count(string(raw), sentence+` <span class="soft">at 0:02.0</span>`))
	got := objects[reportJSON](t, u.ok("report", clean, bad, "--json"))[0]
	require.Zero(t, got.Files[0].NonFinite)
	require.EqualValues(t, 3, got.Files[1].NonFinite)
	codes := ""
	for _, f := range got.Files[1].Findings {
		codes += f.Code + " "
	}
	require.Contains(t, codes, "not-finite")
}
