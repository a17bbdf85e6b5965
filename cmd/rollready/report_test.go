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
	Findings []struct {
		Code, Severity, Message, Action string
		Channel                         int
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

// EBU Tech 3341 Table 1 cases 1–5, 10 and 13 and EBU Tech 3342 Table 1 cases
// 1–4, as files; see testdata/reference/loudness_cases.csv.
func TestReportOfEBULoudnessCases(t *testing.T) {
	folder, quiet := t.TempDir(), math.Inf(-1)
	type want struct {
		read          func(reported) float64
		value, within float64
	}
	integrated := func(r reported) float64 { return *r.IntegratedLUFS }
	lra := func(r reported) float64 { return r.LoudnessRangeLU }
	wants := map[string]want{}
	add := func(name string, block []float32, w want) {
		wants[put(t, folder, name+".wav", block, stereo48, wavfile.PCM24)] = w
	}
	add("3341-1", steps(20, -23), want{integrated, -23, 0.1})
	add("3341-2", steps(20, -33), want{integrated, -33, 0.1})
	add("3341-3", steps(10, -36, 60, -23, 10, -36), want{integrated, -23, 0.1})
	add("3341-4", steps(10, -72, 10, -36, 60, -23, 10, -36, 10, -72), want{integrated, -23, 0.1})
	add("3341-5", steps(20, -26, 20.1, -20, 20, -26), want{integrated, -23, 0.1})
	add("3342-1", steps(20, -20, 20, -30), want{lra, 10, 1})
	add("3342-2", steps(20, -20, 20, -15), want{lra, 5, 1})
	add("3342-3", steps(20, -40, 20, -20), want{lra, 20, 1})
	add("3342-4", steps(20, -50, 20, -35, 20, -20, 20, -35, 20, -50), want{lra, 15, 1})
	for i := range 20 {
		add(fmt.Sprintf("3341-10-%02d", i), steps(float64(i)*0.15, quiet, 3, -23, 1, quiet),
			want{func(r reported) float64 { return *r.MaxShortTermLUFS }, -23, 0.1})
		add(fmt.Sprintf("3341-13-%02d", i), steps(float64(i)*0.02, quiet, 0.4, -23, 1, quiet),
			want{func(r reported) float64 { return *r.MaxMomentaryLUFS }, -23, 0.1})
	}
	files := objects[reportJSON](t, newUser(t).ok("report", folder, "--json"))[0].Files
	require.Len(t, files, len(wants))
	for _, f := range files {
		w := wants[f.Path]
		require.InDelta(t, w.value, w.read(f), w.within, f.Path)
	}
}

// EBU Tech 3341 Table 1 cases 15–23 as files: +0.2/−0.4 dBTP.
func TestReportOfEBUTruePeakCases(t *testing.T) {
	folder, wants := t.TempDir(), map[string]float64{}
	mono := capture.Format{RateHz: 48000, Channels: 1}
	add := func(name string, x []float64, dBTP float64) {
		block := make([]float32, len(x))
		for i, v := range x {
			edge := min(1, float64(min(i, len(x)-1-i))/20)
			block[i] = float32(v * edge)
		}
		wants[put(t, folder, name+".wav", block, mono, wavfile.Float32)] = dBTP
	}
	for name, c := range map[string]struct{ fraction, degrees, peak, dBTP float64 }{
		"15": {4, 0, 0.5, -6}, "16": {4, 45, 0.5, -6}, "17": {6, 60, 0.5, -6}, "18": {8, 67.5, 0.5, -6}, "19": {4, 45, 1.41, 3},
	} {
		x := make([]float64, 48000)
		for i := range x {
			x[i] = c.peak * math.Sin(2*math.Pi*float64(i)/c.fraction+c.degrees*math.Pi/180)
		}
		add("3341-"+name, x, c.dBTP)
	}
	raw, err := os.ReadFile("../../testdata/reference/true_peak_cases20_23.csv")
	require.NoError(t, err)
	table := csv.NewReader(strings.NewReader(string(raw)))
	table.Comment = '#'
	rows, err := table.ReadAll()
	require.NoError(t, err)
	for column, name := range rows[0] {
		if !strings.HasPrefix(name, "case") {
			continue
		}
		x := make([]float64, len(rows)-1)
		for i, row := range rows[1:] {
			_, err := fmt.Sscan(row[column], &x[i])
			require.NoError(t, err)
		}
		add("3341-"+strings.TrimPrefix(name, "case"), x, 0)
	}
	require.Len(t, wants, 9)
	files := objects[reportJSON](t, newUser(t).ok("report", folder, "--json"))[0].Files
	require.Len(t, files, 9)
	for _, f := range files {
		require.InDelta(t, wants[f.Path]-0.1, *f.TruePeakDBTP[0], 0.3, f.Path)
	}
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
		{[]string{one, "--json", "--csv"}, "[csv json]"},
		{[]string{one, "--compare"}, "1 files given, --compare needs 2"},
		{[]string{one, one, "--compare", "--csv"}, "[compare csv]"},
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
	for _, want := range []string{"A is cleaner.", "A has 0 overloads, B has", "B began 1.500 s later than A", "True peak"} {
		require.Contains(t, text, want)
	}
	raw, err := os.ReadFile(page)
	require.NoError(t, err)
	require.Contains(t, string(raw), "The same take twice")
	got := objects[reportJSON](t, u.ok("report", "--compare", camera, laptop, "--json"))[0]
	require.Len(t, got.Files, 2)
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
	if _, err := exec.LookPath("script"); err != nil || runtime.GOOS != "linux" {
		t.Skip("needs the program script of util-linux")
	}
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
