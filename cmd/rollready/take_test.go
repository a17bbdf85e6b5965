package main

import (
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take"
	"rollready/capture/wavfile"
	"rollready/dsp/figure"
)

func readAllFrames(t *testing.T, path string) ([]float32, int) {
	r, err := wavfile.Open(path)
	require.NoError(t, err)
	defer r.Close()
	var all []float32
	block := make([]float32, 4096*r.Format().Channels)
	for {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			return all, r.Format().Channels
		}
		require.NoError(t, err)
		all = append(all, block[:n*r.Format().Channels]...)
	}
}

// What is recorded is what was played: the raw input track is a stretch of
// the file, bit by bit, and the processed track is that with the gain.
func TestTakeRecordsWhatIsPlayed(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	ramp := make([]float32, 2*4*48000) // each frame differs from all others
	for i := range ramp {
		ramp[i] = float32(i/2-96000) / (1 << 19)
	}
	r := u.run("take", "record", "--input", "file:"+file(t, ramp, stereo48), "--channels", "1", "--gain", "-6.0206",
		"--takes", dir, "--scene", "7", "--seconds", "1.5", "--note", "first try", "--json")
	require.Zero(t, r.code, r.err)
	require.Contains(t, r.err, "REC 7 take 1")
	got := objects[take.Listed](t, r.out)[0]
	require.Equal(t, filepath.Join(dir, "7_001.wav"), got.Path)
	require.Equal(t, figure.Figure(1.5), got.Length)
	require.Equal(t, []string{"processed 1", "input 1"}, got.Tracks)
	require.Equal(t, "first try", got.Note)
	frames, channels := readAllFrames(t, got.Path)
	require.Equal(t, 2, channels)
	require.Len(t, frames, 2*72000)
	for i := 2; i < len(frames); i += 2 {
		require.InDelta(t, 1.0/(1<<19), frames[i+1]-frames[i-1], 1e-9, "frame %d", i/2)
		require.InDelta(t, frames[i+1]/2, frames[i], 2e-7)
	}

	said := u.run("take", "record", "--input", "demo", "--takes", dir, "--scene", "7", "--seconds", "0.3", "--safety", "--json").out
	second := objects[take.Listed](t, said)[0]
	require.Equal(t, 2, second.Take)
	require.Len(t, second.Tracks, 6)
	listed := u.ok("take", "list", "--takes", dir, "--json")
	require.Contains(t, listed, strings.TrimSpace(r.out)+","+strings.TrimSpace(said), "the same as at the end of recording")
	require.Contains(t, u.ok("take", "list", "--takes", dir), "7 take 2")

	page := filepath.Join(dir, "report.html")
	rows, err := csv.NewReader(strings.NewReader(u.ok("take", "report", "--takes", dir, "--html", page, "--csv"))).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 3)
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	require.Contains(t, string(text), "first try")
}

// The limiter looks ahead: the raw track is as late as the processed one, so
// that nothing slips where an editor goes from one to the other.
func TestTracksOfATakeAreAlignedBehindTheLimiter(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	clicks := make([]float32, 2*48000)
	for i := 0; i < len(clicks); i += 997 {
		clicks[i] = 0.5
	}
	r := u.run("take", "record", "--input", "file:"+file(t, clicks, capture.Format{RateHz: 48000, Channels: 1}),
		"--limit", "-1", "--takes", dir, "--seconds", "0.5", "--json")
	require.Zero(t, r.code, r.err)
	frames, channels := readAllFrames(t, objects[take.Listed](t, r.out)[0].Path)
	require.Equal(t, 2, channels)
	found := 0
	for i := 0; i < len(frames); i += 2 {
		require.Equal(t, frames[i], frames[i+1], "frame %d", i/2)
		if frames[i] > 0 {
			found++
		}
	}
	require.InDelta(t, 24, found, 1)
}

// Killed and interrupted recordings of the program as a user runs it.
func TestTakeSurvivesKillAndInterrupt(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no signal to interrupt with")
	}
	u, dir := newUser(t), t.TempDir()
	for n, signal := range []os.Signal{os.Kill, os.Interrupt} {
		cmd := u.command("take", "record", "--input", "demo", "--takes", dir, "--scene", "7", "--json")
		require.NoError(t, cmd.Start())
		path := filepath.Join(dir, []string{"7_001.wav", "7_002.wav"}[n])
		require.Eventually(t, func() bool {
			info, err := os.Stat(path)
			return err == nil && info.Size() > 48000*12
		}, 30*time.Second, 20*time.Millisecond)
		require.Contains(t, u.ok("take", "recover", path), "rolling")
		require.NoError(t, cmd.Process.Signal(signal))
		_ = cmd.Wait()
		frames, _ := readAllFrames(t, path)
		require.Greater(t, len(frames), 4*10000)
	}
	files := objects[struct{ Files []take.Recovered }](t, u.ok("take", "recover", dir, "--json"))[0].Files
	require.Len(t, files, 2)
	require.EqualValues(t, "mended", files[0].Outcome)
	require.EqualValues(t, "whole", files[1].Outcome)
	list := objects[take.Listing](t, u.ok("take", "list", "--takes", dir, "--json"))[0]
	require.Equal(t, "listen", list.Takes[0].Verdict)
	require.Greater(t, float64(list.Takes[0].CameraPeakDBTP), -60.0)

	require.NoError(t, os.WriteFile(filepath.Join(dir, "letter.wav"), []byte("dear aunt, this is no sound"), 0o644))
	r := u.run("take", "recover", dir)
	require.Equal(t, 1, r.code)
	require.Contains(t, r.out, "not a WAV file")
	list = objects[take.Listing](t, u.ok("take", "list", "--takes", dir, "--json"))[0]
	require.Len(t, list.Unreadable, 1)
}

func TestTakeSaysWhatIsWrong(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	record := []string{"take", "record", "--input", "demo", "--takes", dir}
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"take"}, "say what to do"},
		{append(record, "--encoding", "20"), "choose 16, 24 or float"},
		{append(record, "--seconds", "-1"), "choose 0 or more"},
		{append(record, "--before", "61"), "choose 0 to 60"},
		{append(record, "--take", "-1"), "choose 1 to 99999"},
		{append(record, "--scene", "../7"), "can't be part of a file name"},
		{append(record, "--pattern", "{scene}"), `--pattern "{scene}": put {take} into it`},
		{append(record, "--camera", "absent"), "see rollready camera list"},
		{[]string{"take", "record", "--takes", dir}, "connect a microphone, or use --input demo"},
		{[]string{"take", "list", "--takes", filepath.Join(dir, "absent")}, "no such file"},
		{[]string{"take", "recover", filepath.Join(dir, "absent.wav")}, "no such file"},
		{[]string{"take", "report", "--takes", dir}, "--html FILE or --csv"},
		{[]string{"take", "report", "--takes", dir, "--csv", "--day", "tomorrow"}, "write it as 2026-03-04"},
		{[]string{"take", "report", "--takes", dir, "--html", filepath.Join(dir, "absent", "a.html")}, "there is no folder"},
	} {
		require.Contains(t, u.refused(c.args...), c.want, "%v", c.args)
	}
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)
}

// TestTakeListDoesNotVouchForOtherFiles: what was not recorded here was not
// watched for clipping.
func TestTakeListDoesNotVouchForOtherFiles(t *testing.T) {
	u := newUser(t)
	path := tone(t, 1000, -20, 1, stereo48)
	dir := filepath.Dir(path)
	out := u.ok("take", "list", "--takes", dir)
	require.Contains(t, out, "unknown")
	for _, wrong := range []string{"clean", "NaN", "0001", "take 0"} {
		require.NotContains(t, out, wrong)
	}
	takes := objects[take.Listing](t, u.ok("take", "list", "--takes", dir, "--json"))[0].Takes
	require.Equal(t, "unknown", takes[0].Verdict)
}
