package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/capture/wavfile"
)

// binary is the program as a user would run it, built once.
var binary string

func TestMain(m *testing.M) {
	if dir, is := os.LookupEnv(trapVariable); is {
		os.Exit(trapped(dir))
	}
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "rollready-test-")
		if err != nil {
			panic(err)
		}
		defer os.RemoveAll(dir)
		binary = filepath.Join(dir, "rollready.exe")
		if out, err := exec.Command("go", "build", "-o", binary, ".").CombinedOutput(); err != nil {
			panic(string(out))
		}
		return m.Run()
	}())
}

// user runs the program with settings of its own and no sound system.
type user struct {
	t      *testing.T
	config string
	env    []string
	starts []string // what runs the program; nil: it is run as built
}

func newUser(t *testing.T) user {
	t.Helper()
	return user{t: t, config: filepath.Join(t.TempDir(), "config"), env: append(os.Environ(), soundtest.NoServerEnv(t.TempDir())...)}
}

// newListener is a user on the sound system that the test has started.
func newListener(t *testing.T) user {
	t.Helper()
	return user{t: t, config: filepath.Join(t.TempDir(), "config"), env: os.Environ()}
}

type result struct {
	out, err string
	code     int
}

func (u user) command(args ...string) *exec.Cmd {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	u.t.Cleanup(cancel)
	line := append(slices.Clone(u.starts), "--config", u.config)
	if u.starts == nil {
		line = append([]string{binary}, line...)
	}
	cmd := exec.CommandContext(ctx, line[0], append(line[1:], args...)...)
	cmd.Env = u.env
	return cmd
}

func (u user) run(args ...string) result {
	u.t.Helper()
	cmd := u.command(args...)
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		u.t.Fatal(err)
	}
	return result{out.String(), errOut.String(), cmd.ProcessState.ExitCode()}
}

// ok runs a command that must succeed and say nothing on stderr.
func (u user) ok(args ...string) string {
	u.t.Helper()
	r := u.run(args...)
	require.Zero(u.t, r.code, "%v: %s", args, r.err)
	require.Empty(u.t, r.err, "%v", args)
	return r.out
}

// refused runs a command that must fail as wrong use, in one line on stderr.
func (u user) refused(args ...string) string {
	u.t.Helper()
	r := u.run(args...)
	require.Equal(u.t, 2, r.code, "%v: %s", args, r.err)
	require.Empty(u.t, r.out, "%v", args)
	require.Equal(u.t, 1, strings.Count(r.err, "\n"), "%v: %q", args, r.err)
	require.True(u.t, strings.HasPrefix(r.err, "rollready: "), "%v: %q", args, r.err)
	return r.err
}

// objects reads lines of JSON, each of which must be whole.
func objects[T any](t *testing.T, text string) (list []T) {
	t.Helper()
	require.True(t, text == "" || strings.HasSuffix(text, "\n"))
	for _, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		var value T
		decoder := json.NewDecoder(strings.NewReader(line))
		decoder.DisallowUnknownFields()
		require.NoError(t, decoder.Decode(&value), "%s", line)
		list = append(list, value)
	}
	return list
}

// eventually waits for what must come, on a busy machine too.
func eventually(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !ok(); time.Sleep(30 * time.Millisecond) {
		require.True(t, time.Now().Before(end), what)
	}
}

// tone writes a sine of so many seconds to a new file.
func tone(t *testing.T, hz, dbfs, seconds float64, f capture.Format) string {
	t.Helper()
	block := make([]float32, int(seconds*float64(f.RateHz))*f.Channels)
	for i := range block {
		phase := 2 * math.Pi * hz * float64(i/f.Channels) / float64(f.RateHz)
		block[i] = float32(math.Pow(10, dbfs/20) * math.Sin(phase))
	}
	return file(t, block, f)
}

func file(t *testing.T, block []float32, f capture.Format) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "kitchen interview.wav")
	w, err := wavfile.Create(path, f, wavfile.Float32)
	require.NoError(t, err)
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close())
	return path
}

var stereo48 = capture.Format{RateHz: 48000, Channels: 2}

// TestNowhereToKeepIsSaidOnce: why nothing can be kept is one reason.
func TestNowhereToKeepIsSaidOnce(t *testing.T) {
	u := newUser(t)
	u.config = file(t, nil, stereo48) // a file where a folder should be
	r := u.run("watch", "--input", "demo", "--seconds", "0.1")
	require.Equal(t, 1, strings.Count(r.err, "mkdir"), r.err)
	require.Contains(t, r.err, "give another folder with --config")
}

func TestWrongUseIsOneLineThatSaysWhatToDo(t *testing.T) {
	u := newUser(t)
	short := tone(t, 1000, -20, 0.1, stereo48)
	for _, c := range []struct {
		args []string
		want string
	}{
		{nil, "the monitor needs a terminal"},
		{[]string{"rehearse"}, `"rehearse" is not understood: see rollready --help`},
		{[]string{"--loud"}, "unknown flag: --loud: see rollready --help"},
		{[]string{"watch", "--loud"}, "see rollready watch --help"},
		{[]string{"watch", "now"}, `"now" is not understood: see rollready watch --help`},
		{[]string{"watch", "--rate", "0"}, "choose 0.1 to 50"},
		{[]string{"watch", "--rate", "NaN"}, "choose 0.1 to 50"},
		{[]string{"watch", "--seconds", "-1"}, "choose 0 or more"},
		{[]string{"watch", "--seconds", "soon"}, `--seconds "soon": not a number, like 2.5: see rollready watch --help`},
		{[]string{"watch", "--seconds", "1,5"}, `--seconds "1,5": not a number, like 2.5: see rollready watch --help`},
		{[]string{"check", "."}, ".: that is a folder: give a file in it"},
		{[]string{"lineup", "send", "--to", "x.wav", "--sample-rate", "1.5"}, `--sample-rate "1.5": not a whole number`},
		{[]string{"lineup", "send", "--to", ""}, "the file has no name"},
		{[]string{"lineup", "send", "--to", "x.mp3"}, "only WAV is written"},
		{[]string{"lineup", "tone", "--seconds", "-1"}, "choose 0 or more"},
		{[]string{"report", short, "--json", "--csv"}, "choose one of --json and --csv"},
		{[]string{"lineup", "send", "--to", "x.wav", "--camera-output", "y"}, "choose one of --to and --camera-output"},
		{[]string{"preset", "export", "flat", "absent/x.toml"}, "write absent/x.toml: there is no folder absent: make it first"},
		{[]string{"process", short, ""}, "the file has no name"},
		{[]string{"process", short, "x.MP3"}, "only WAV is written"},
		{[]string{"process", short, "absent/x.wav"}, "write absent/x.wav: there is no folder absent: make it first"},
		{[]string{"watch", "--fast"}, "add --input file:PATH"},
		{[]string{"watch", "--gain", "loud"}, "--gain: \"loud\" is no number of decibels"},
		{[]string{"watch", "--gain", "41"}, "choose -60 to 40 dB"},
		{[]string{"watch", "--high-pass", "80"}, "write it like 80/24, or off"},
		{[]string{"watch", "--low-pass", "80/7"}, "choose 6, 12, 18, 24 or off"},
		{[]string{"watch", "--limit", "1"}, "choose -40 to 0 dBTP"},
		{[]string{"watch", "--preset", "absent"}, "see rollready preset list"},
		{[]string{"watch", "--preset", "../x"}, "can't lead to another folder"},
		{[]string{"watch", "--camera", "absent"}, "see rollready camera list"},
		{[]string{"watch", "--channels", "left"}, "choose a channel number"},
		{[]string{"watch", "--input", "absent"}, "connect a microphone, or use --input demo"},
		{[]string{"watch", "--input", "file:absent.wav"}, "absent.wav: no such file"},
		{[]string{"watch", "--input", "file:main.go"}, "this is text, not sound"},
		{[]string{"watch", "--input", "file:."}, "that is a folder"},
		{[]string{"watch", "--input", "file:" + short, "--channels", "3"}, "channel 3: the input has 2"},
		{[]string{"watch", "--fast", "--input", "file:" + short, "--channels", "3"}, "channel 3: the input has 2"},
		{[]string{"preset"}, "say what to do: see rollready preset --help"},
		{[]string{"preset", "sing"}, `"sing" is not understood`},
		{[]string{"preset", "show"}, `0 given, 1 needed: write it as "rollready preset show NAME"`},
		{[]string{"preset", "copy", "flat"}, "1 given, 2 needed"},
		{[]string{"bands", "--xml"}, "unknown flag"},
		{[]string{"devices", "all"}, "not understood"},
	} {
		require.Contains(t, u.refused(c.args...), c.want, "%v", c.args)
	}
}

func TestHelp(t *testing.T) {
	u := newUser(t)
	out := u.ok("--help")
	for _, want := range []string{"harms hearing", "qualified technician", "watch", "devices", "bands", "preset", "camera"} {
		require.Contains(t, out, want)
	}
	var narrow func(cmd *cobra.Command)
	narrow = func(cmd *cobra.Command) {
		for _, line := range strings.Split(cmd.Long+"\n"+cmd.UsageString(), "\n") {
			require.LessOrEqual(t, utf8.RuneCountInString(line), 100, "%s: %s", cmd.Name(), line)
		}
		for _, one := range cmd.Commands() {
			narrow(one)
		}
	}
	narrow(newRoot(newApp(io.Discard, io.Discard)))
	require.Contains(t, u.ok("watch", "--help"), "--fast")
	require.Contains(t, u.ok("preset", "--help"), "undelete")
}

func TestAFolderThatCantBeWrittenIsAWarning(t *testing.T) {
	u := newUser(t)
	require.NoError(t, os.WriteFile(u.config, nil, 0o644))
	r := u.run("watch", "--input", "file:"+tone(t, 1000, -20, 0.5, stereo48), "--fast")
	require.Zero(t, r.code)
	require.Contains(t, r.err, "give another folder with --config")
	require.NotEmpty(t, r.out)
}
