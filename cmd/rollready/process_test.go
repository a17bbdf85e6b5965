package main

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
)

func samples(t *testing.T, path string) ([]float32, *wavfile.Reader) {
	t.Helper()
	r, err := wavfile.Open(path)
	require.NoError(t, err)
	t.Cleanup(func() { r.Close() })
	all := make([]float32, int(r.Frames())*r.Format().Channels)
	_, err = r.Read(all)
	require.NoError(t, err)
	return all, r
}

func TestProcessRunsThePresetsChain(t *testing.T) {
	u := newUser(t)
	in, out := tone(t, 100, -20, 2, stereo48), filepath.Join(t.TempDir(), "out.wav")
	u.ok("preset", "save", "harbour wall", "--gain", "6", "--high-pass", "100/12")
	text := u.ok("process", in, out, "--preset", "harbour wall", "--encoding", "24")
	require.Contains(t, text, "2.0 s, 2 channels, 24-bit, gain +6.0 dB, high-pass 100 Hz 12 dB per octave")
	x, r := samples(t, out)
	require.Equal(t, wavfile.PCM24, r.Encoding())
	require.EqualValues(t, 96000, r.Frames())
	top := 0.0
	for _, v := range x[96000:] {
		top = max(top, math.Abs(float64(v)))
	}
	require.InDelta(t, -20+6-3.01, 20*math.Log10(top), 0.01) // −3.01 dB at the cutoff
}

func TestProcessLosesNothing(t *testing.T) {
	u := newUser(t)
	in, dir := tone(t, 1000, -20, 1, stereo48), t.TempDir()
	out := filepath.Join(dir, "out.wav")
	require.NoError(t, os.WriteFile(out, []byte("precious"), 0o600))
	require.Contains(t, u.refused("process", in, out), "exists: give OUT another name, or use --replace")
	require.Contains(t, u.refused("process", in, in, "--replace"), "is both IN and OUT")
	require.Contains(t, u.refused("process", in, dir, "--replace"), "is a folder")
	require.Contains(t, u.refused("process", in, filepath.Join(dir, "none", "o.wav")), "there is no folder "+filepath.Join(dir, "none")+": make it first")
	require.Contains(t, u.refused("process", in, filepath.Join(dir, "x.wav"), "--encoding", "12"), "choose 16, 24, 32, float or double")
	require.Contains(t, u.refused("process", in, filepath.Join(dir, "x.wav"), "--channels", "3"), "channel 3: the input has 2")
	require.Contains(t, u.refused("process", in, filepath.Join(dir, "x.wav"), "--preset", "nobody"), "nobody")
	text := filepath.Join(dir, "text.wav")
	require.NoError(t, os.WriteFile(text, []byte("no sound"), 0o600))
	require.Contains(t, u.refused("process", text, filepath.Join(dir, "x.wav")), "text.wav")
	kept, err := os.ReadFile(out)
	require.NoError(t, err)
	require.Equal(t, "precious", string(kept))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 2, "nothing half done is left")

	u.ok("process", in, out, "--replace")
	_, r := samples(t, out)
	require.EqualValues(t, 48000, r.Frames())
}

func TestProcessWarnsOfClipping(t *testing.T) {
	u := newUser(t)
	in, dir := tone(t, 1000, -3, 1, stereo48), t.TempDir()
	r := u.run("process", in, filepath.Join(dir, "a.wav"), "--gain", "6", "--encoding", "16")
	require.Zero(t, r.code)
	require.Contains(t, r.err, "clips")
	u.ok("process", in, filepath.Join(dir, "b.wav"), "--gain", "6", "--encoding", "float")
	u.ok("process", in, filepath.Join(dir, "c.wav"), "--gain", "6", "--limit", "-1", "--encoding", "16")
	x, _ := samples(t, filepath.Join(dir, "c.wav"))
	for _, v := range x {
		require.LessOrEqual(t, math.Abs(float64(v)), math.Pow(10, -1.0/20))
	}
}

// The limiter's delay is taken back: a click stays on its frame.
func TestProcessStaysInStepWithThePicture(t *testing.T) {
	u := newUser(t)
	x := make([]float32, 2*48000)
	x[2*24000], x[2*24000+1] = 0.5, 0.5
	out := filepath.Join(t.TempDir(), "o.wav")
	u.ok("process", file(t, x, stereo48), out, "--limit", "-1")
	got, _ := samples(t, out)
	require.Equal(t, x, got)
}

// Another program reads what we write, in every encoding (soxi and ffprobe
// from the Debian packages sox and ffmpeg).
func TestOtherProgramsReadWhatProcessWrites(t *testing.T) {
	soundtest.Need(t, "soxi", "ffprobe")
	u := newUser(t)
	in, dir := tone(t, 1000, -20, 1.5, capture.Format{RateHz: 96000, Channels: 1}), t.TempDir()
	for name, bits := range map[string]string{"16": "16", "24": "24", "32": "32", "float": "32", "double": "64"} {
		out := filepath.Join(dir, name+".wav")
		u.ok("process", in, out, "--gain", "-1", "--encoding", name)
		got, err := exec.Command("ffprobe", "-v", "error", "-of", "json", "-show_streams", out).Output()
		require.NoError(t, err)
		var probe struct {
			Streams []struct {
				Rate     string `json:"sample_rate"`
				Channels int    `json:"channels"`
				Bits     int    `json:"bits_per_sample"`
				Frames   int64  `json:"duration_ts"`
			} `json:"streams"`
		}
		require.NoError(t, json.Unmarshal(got, &probe))
		require.Equal(t, "96000", probe.Streams[0].Rate)
		require.EqualValues(t, 144000, probe.Streams[0].Frames)
		frames, err := exec.Command("soxi", "-s", out).Output()
		require.NoError(t, err)
		require.Equal(t, "144000", strings.TrimSpace(string(frames)), bits)
	}
}

// The fixture's time reference and cues: testdata/reference/README.md.
func TestProcessKeepsWhatTheFileSays(t *testing.T) {
	u := newUser(t)
	out := filepath.Join(t.TempDir(), "out.wav")
	u.ok("process", "../../testdata/reference/fixture_bwf_v2_pcm24.wav", out, "--gain", "-6", "--encoding", "16")
	info, err := bwf.Read(out)
	require.NoError(t, err)
	require.EqualValues(t, 1814400000, info.Bext.TimeReference)
	require.Len(t, info.Markers, 2)
	_, r := samples(t, out)
	require.Contains(t, string(r.Layout().Payload("bext")[602:]), "A=PCM,F=48000,W=16,M=mono,T=rollready; gain -6.0 dB; high-pass off; low-pass off\r\n")
}

func TestProcessTakesTheRawTracks(t *testing.T) {
	u := newUser(t)
	dir := t.TempDir()
	u.run("take", "record", "--input", "file:"+tone(t, 1000, -20, 1, stereo48), "--takes", dir, "--scene", "7", "--gain", "-10", "--safety")
	take, out := filepath.Join(dir, "7_001.wav"), filepath.Join(dir, "out.wav")
	require.Contains(t, u.ok("process", take, out, "--gain", "3"), "the take's raw tracks 3+4")
	x, r := samples(t, out)
	require.InDelta(t, -17, 20*math.Log10(peakOf(x[9600:])), 0.05)
	require.EqualValues(t, 48000, r.Frames(), "a take of a file has all of it")
	require.Contains(t, u.ok("process", take, out, "--channels", "all", "--replace"), "all 6 tracks of the take")
}

func TestProcessSaysWhereAFilterReallyIs(t *testing.T) {
	u := newUser(t)
	in := tone(t, 1000, -20, 1, capture.Format{RateHz: 16000, Channels: 1})
	r := u.run("process", in, filepath.Join(t.TempDir(), "out.wav"), "--low-pass", "20000/12")
	require.Contains(t, r.err, "the low-pass is at 7680 Hz, not 20000 Hz: at a sample rate of 16000 Hz sound ends at 8000 Hz")
}

// - is the terminal for text, and no place for sound.
func TestTheDashIsTheTerminal(t *testing.T) {
	u := newUser(t)
	in := tone(t, 1000, -20, 1, stereo48)
	for _, args := range [][]string{{"process", in, "-"}, {"process", "-", "out.wav"}, {"check", "--input", "file:-"}, {"lineup", "send", "--to", "-"}, {"lineup", "read", "-"}} {
		require.Contains(t, u.refused(args...), "write ./- for a file of that name", "%v", args)
	}
	require.Contains(t, u.ok("preset", "export", "flat", "-"), "version = ")
	require.True(t, strings.HasPrefix(u.ok("report", in, "--html", "-"), "<!DOCTYPE html>"))
	require.Contains(t, u.refused("report", in, "--html", "-", "--json"), "only one can go to the terminal")
	require.NoFileExists(t, "-")
}

// Four channels are no pair: which of them is checked must be said.
func TestCheckAsksWhichOfManyChannels(t *testing.T) {
	u := newUser(t)
	in := tone(t, 1000, -20, 1, capture.Format{RateHz: 48000, Channels: 4})
	require.Contains(t, u.refused("check", "--input", "file:"+in), "has 4 channels: say which hold the voice")
}

func peakOf(x []float32) (top float64) {
	for _, v := range x {
		top = max(top, math.Abs(float64(v)))
	}
	return top
}
