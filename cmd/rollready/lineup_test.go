package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// seenLineup is what lineup read --json must print; pointers may be null.
type seenLineup struct {
	Offset    *float64 `json:"offset_db"`
	Clip      *float64 `json:"clip_dbfs"`
	Automatic struct {
		On      bool     `json:"on"`
		Attack  *float64 `json:"attack_ms"`
		Release *float64 `json:"release_ms"`
	} `json:"automatic_level"`
	Noise      *float64         `json:"noise_dbfs"`
	NoiseA     *float64         `json:"noise_dba"`
	Polarity   string           `json:"polarity"`
	Wiring     string           `json:"wiring"`
	Channels   []map[string]any `json:"channels"`
	Clock      float64          `json:"clock_ppm"`
	Distortion *float64         `json:"distortion_percent"`
	Response   []struct {
		Hz    float64 `json:"hz"`
		Level float64 `json:"level_db"`
	} `json:"response"`
	Advice []string `json:"advice"`
}

func parseLineup(t *testing.T, text string) (l seenLineup) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(text), &l), "%s", text)
	return l
}

// sequenceFile has the program write the sequence.
func sequenceFile(t *testing.T, u user) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sequence.wav")
	r := u.run("lineup", "send", "--to", path)
	require.Zero(t, r.code, r.err)
	return path
}

// through runs a file through ffmpeg: its filters, resampler and codecs are
// cameras made by others.
func through(t *testing.T, in, name string, args ...string) string {
	t.Helper()
	soundtest.Need(t, "ffmpeg")
	out := filepath.Join(t.TempDir(), name)
	all := append([]string{"-nostdin", "-v", "error", "-i", in}, append(args, out)...)
	said, err := exec.Command("ffmpeg", all...).CombinedOutput()
	require.NoError(t, err, "%s", said)
	return out
}

// A clip as a camera writes it: quieter, its clock 24 in 48000 fast, at
// 44.1 kHz, in a lossy codec, in a container, with time before and after.
func TestLineupReadsAClipOfAnotherMake(t *testing.T) {
	u := newUser(t)
	clip := through(t, sequenceFile(t, u), "clip one.mp4", "-af",
		"adelay=3100|3100,apad=pad_dur=2,volume=-7.3dB,asetrate=48000,aresample=48024,asetrate=48000,aresample=44100", "-c:a", "aac", "-b:a", "192k")
	l := parseLineup(t, u.ok("lineup", "read", clip, "--json"))
	require.InDelta(t, -7.3, *l.Offset, 0.2)
	require.Nil(t, l.Clip)
	require.False(t, l.Automatic.On)
	require.Nil(t, l.Automatic.Attack)
	require.Equal(t, "normal", l.Polarity)
	require.Equal(t, "stereo", l.Wiring)
	require.Len(t, l.Channels, 2)
	require.InDelta(t, 500, l.Clock, 3)
	require.Less(t, *l.Distortion, 0.1)
	require.Len(t, l.Response, 31)
	require.NotEmpty(t, l.Advice)
}

func at(t *testing.T, l seenLineup, hz float64) float64 {
	t.Helper()
	for _, p := range l.Response {
		if p.Hz == hz {
			return p.Level
		}
	}
	t.Fatalf("no %g Hz in the response", hz)
	return 0
}

func TestLineupIsKeptShownAndCompared(t *testing.T) {
	u := newUser(t)
	sent := sequenceFile(t, u)
	quiet := through(t, sent, "quiet.wav", "-af", "volume=-4dB")
	for _, c := range [][]string{{sent, "a camera"}, {quiet, "b camera"}} {
		r := u.run("lineup", "read", c[0], "--camera", c[1], "--new", "--mic-level", "manual, step 2", "--with", "Line Out")
		require.Zero(t, r.code, r.err)
		require.Contains(t, r.err, `kept in camera "`+c[1])
	}
	shown := u.ok("camera", "show", "b camera")
	for _, want := range []string{"reads output −4.0 dB", "manual, step 2", "Line Out", "frequency response", "target window", "1000 Hz"} {
		require.Contains(t, shown, want)
	}
	var camera struct {
		Offset float64    `json:"offset_db"`
		LineUp seenLineup `json:"line_up"`
	}
	require.NoError(t, json.Unmarshal([]byte(u.ok("camera", "show", "b camera", "--json")), &camera))
	require.InDelta(t, -4, camera.Offset, 0.05)
	require.InDelta(t, -4, *camera.LineUp.Offset, 0.05)
	compared := u.ok("camera", "compare", "a camera", "b camera")
	require.Regexp(t, `offset +0\.0 dB +−4\.0 dB +differs`, compared)
	for line := range strings.Lines(compared) {
		require.LessOrEqual(t, utf8.RuneCountInString(line), 81, line)
	}
	require.Contains(t, u.ok("camera", "compare", "a camera", "b camera", "--json"), `"cameras"`)
	levelled := through(t, sent, "levelled.wav", "-af", "acompressor=threshold=-30dB:ratio=4")
	r := u.run("lineup", "read", levelled, "--camera", "b camera")
	require.Equal(t, 1, r.code)
	require.Contains(t, r.err, "automatic level is on")
	require.Contains(t, u.ok("camera", "show", "b camera"), "reads output −4.0 dB")
}

func TestLineupToneKeepsWhatTheMeterReads(t *testing.T) {
	u := newUser(t)
	r := u.run("lineup", "tone", "--level", "-20", "--reads", "-14", "--clips", "-7", "--camera", "c camera", "--new", "--mic-level", "step 1")
	require.Zero(t, r.code, r.err)
	require.Contains(t, u.ok("camera", "show", "c camera"), "reads output +6.0 dB, clips at −1.0 dBFS")
}

func TestLineupWrongUse(t *testing.T) {
	u := newUser(t)
	short := tone(t, 1000, -20, 2, stereo48)
	silent := tone(t, 1000, -200, 40, stereo48)
	notes := filepath.Join(t.TempDir(), "notes.txt")
	require.NoError(t, os.WriteFile(notes, []byte(strings.Repeat("no clip at all ", 9)), 0o644))
	sent := sequenceFile(t, u)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"lineup"}, "say what to do"},
		{[]string{"lineup", "read"}, "1 needed"},
		{[]string{"lineup", "read", "absent.mp4"}, "no such file"},
		{[]string{"lineup", "read", "."}, "that is a folder"},
		{[]string{"lineup", "read", short}, "can't be used: the clip lasts 2.0 s"},
		{[]string{"lineup", "read", silent}, "the clip is silent"},
		{[]string{"lineup", "read", short, "--track", "0"}, "tracks count from 1"},
		{[]string{"lineup", "read", short, "--volume", "-3"}, "add --camera NAME"},
		{[]string{"lineup", "read", short, "--mic-level", "step 2"}, "add --camera NAME"},
		{[]string{"lineup", "tone", "--reads", "-14", "--clips", "3", "--camera", "camera"}, "--clips: tone at 3 dBFS: choose -80 to -1 dBFS"},
		{[]string{"lineup", "plan", "--setting", "a=1V", "--setting", "a=2V"}, "\"a\" is given twice"},
		{[]string{"lineup", "send", "--to", sent}, "exists"},
		{[]string{"lineup", "send", "--to", "none/sequence.wav"}, "there is no folder none: make it first"},
		{[]string{"lineup", "send", "--to", "x.wav", "--sample-rate", "8000"}, "choose 44100 to 192000"},
		{[]string{"lineup", "send", "--to", "x.wav", "--camera-output", "y"}, "to"},
		{[]string{"lineup", "send", "--camera-output", "absent"}, "output"},
		{[]string{"lineup", "tone", "--level", "3"}, "choose -80 to -1 dBFS"},
		{[]string{"lineup", "tone", "--frequency", "1"}, "choose 20 to 20000 Hz"},
		{[]string{"lineup", "tone", "--reads", "-14"}, "add --camera NAME"},
		{[]string{"lineup", "tone", "--reads", "loud", "--camera", "c"}, "--reads"},
		{[]string{"lineup", "tone", "--reads", "14", "--camera", "c"}, "with its minus, like -14"},
		{[]string{"camera", "save", "c", "--clip", "0.5"}, "with its minus"},
		{[]string{"camera", "save", "c", "--target", "-12..6"}, "with its minus"},
		{[]string{"lineup", "tone", "--reads", "-120", "--camera", "camera"}, "it lies from -80 to 0 dBFS"},
		{[]string{"lineup", "tone", "--reads", "-14", "--camera", "camra"}, `there is "camera"; add --new`},
		{[]string{"lineup", "tone", "--clips", "-10", "--camera", "z cam", "--new"}, "First enter what the meter reads"},
		{[]string{"lineup", "tone", "--seconds", "1"}, "output"},
		{[]string{"lineup", "tone", "--output", "x"}, "--output is --camera-output now"},
		{[]string{"lineup", "send", "--rate", "48000"}, "--rate is --sample-rate now"},
		{[]string{"--output", "x"}, "--output is --headphones now"},
		{[]string{"process", "a.wav", "b.wav", "--overwrite"}, "--overwrite is --replace now"},
		{[]string{"sync", "card", "--names", "{clip}"}, "--names is --pattern now"},
		{[]string{"lineup", "plan", "--out", "2V"}, "--out is --output-level now"},
		{[]string{"camera", "save", "c", "--offset", "99"}, "from -80 to 80 dB"},
		{[]string{"camera", "save", "c", "--target", "-6..-12"}, "the lower first"},
		{[]string{"lineup", "plan"}, "no --setting given"},
		{[]string{"lineup", "plan", "--setting", "low"}, "write it like"},
		{[]string{"lineup", "plan", "--setting", "low=3"}, "write a number and dBu"},
		{[]string{"lineup", "plan", "--pad", "-3", "--setting", "low=3V"}, "0 to 100 dB"},
		{[]string{"camera", "compare", "x", "y"}, "see rollready camera list"},
	} {
		require.Contains(t, u.refused(c.args...), c.want, "%v", c.args)
	}
	require.Contains(t, u.refused("lineup", "read", notes), "this is text, not sound")
	clip := filepath.Join(t.TempDir(), "clip.mov")
	require.NoError(t, os.WriteFile(clip, []byte("\x00\x00\x00\x14ftypqt"), 0o644))
	u.env = append(u.env, "PATH="+t.TempDir())
	require.Contains(t, u.refused("lineup", "read", clip), "ffmpeg is not installed: install it")
}

func TestLineupPlan(t *testing.T) {
	u := newUser(t)
	args := []string{"lineup", "plan", "--output-level", "+4dBu", "--pad", "20", "--setting", "mic low=-30dBV", "--setting", "line=2V", "--setting", "high=unknown"}
	text := u.ok(args...)
	for _, line := range strings.Split(text, "\n") {
		require.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	text = strings.Join(strings.Fields(text), " ")
	for _, want := range []string{"−8.2 dBFS", "+15 dB", "−20 dB", "→ mic low", "Choose mic low with 15 dB more pad", "Without another pad: line with 20 dB less pad", "plug-in power", "qualified technician", "line up by tone"} {
		require.Contains(t, text, want)
	}
	var plan struct {
		Settings []struct {
			AlignsAt *float64 `json:"aligns_at_dbfs"`
		} `json:"settings"`
		Best string `json:"best"`
	}
	require.NoError(t, json.Unmarshal([]byte(u.ok(append(args, "--json")...)), &plan))
	require.InDelta(t, 1.7815-20-20+30, *plan.Settings[0].AlignsAt, 0.001)
	require.Nil(t, plan.Settings[2].AlignsAt)
	require.Equal(t, "mic low", plan.Best)
}
