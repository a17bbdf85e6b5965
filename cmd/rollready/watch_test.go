package main

import (
	"bufio"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/dsp/bands"
	"rollready/dsp/chain"
	"rollready/presets"
)

// seenLine is a line of watch --json, read with the names that scripts use.
type seenLine struct {
	Elapsed float64 `json:"elapsed_s"`
	Source  string  `json:"source"`
	ID      *string `json:"source_id"` // null where it is no device
	Input   []seen  `json:"input"`
	Output  []seen  `json:"output"`
	Camera  []struct {
		Peak     *float64 `json:"peak_dbfs"`
		Hold     *float64 `json:"hold_dbfs"`
		Headroom *float64 `json:"headroom_db"`
		Least    *float64 `json:"least_headroom_db"`
		Overs    int64    `json:"overs"`
		Zone     *string  `json:"zone"`
	} `json:"camera"`
	Bands []struct {
		Nominal float64  `json:"nominal_hz"`
		Level   *float64 `json:"level_dbfs"`
		Hold    *float64 `json:"hold_dbfs"`
	} `json:"bands"`
	Loudness struct {
		Momentary  *float64 `json:"momentary_lufs"`
		ShortTerm  *float64 `json:"short_term_lufs"`
		Integrated *float64 `json:"integrated_lufs"`
	} `json:"loudness"`
	Dropouts *int64 `json:"dropouts"`
	Strips   []struct {
		Name     string  `json:"name"`
		Channel  *int    `json:"channel"`
		Input    seen    `json:"input"`
		Output   seen    `json:"output"`
		Zone     *string `json:"zone"`
		Gain     float64 `json:"gain_db"`
		HighPass string  `json:"high_pass"`
		LowPass  string  `json:"low_pass"`
		Inverted bool    `json:"inverted"`
		Muted    bool    `json:"muted"`
	} `json:"strips"`
	Advice     *seenSaid  `json:"advice"`
	Conditions []seenSaid `json:"conditions"`
}

type seen struct {
	Peak     *float64 `json:"peak_dbfs"`
	Hold     *float64 `json:"hold_dbfs"`
	TruePeak *float64 `json:"true_peak_dbtp"`
	RMS      *float64 `json:"rms_dbfs"`
	Clipped  *int64   `json:"clipped_runs"`
}

// last runs watch on a file and gives its last line.
func (u user) last(path string, args ...string) seenLine {
	u.t.Helper()
	lines := objects[seenLine](u.t, u.ok(append([]string{"watch", "--json", "--fast", "--input", "file:" + path}, args...)...))
	return lines[len(lines)-1]
}

func TestWatchReadsATone(t *testing.T) {
	u := newUser(t)
	for _, rate := range []int{44100, 48000, 96000} {
		path := tone(t, 1000, -20, 4, capture.Format{RateHz: rate, Channels: 2})
		line := u.last(path)
		require.InDelta(t, 4, line.Elapsed, 0.011)
		require.Equal(t, "kitchen interview.wav", line.Source)
		require.Len(t, line.Input, 2)
		for c := range 2 {
			for _, level := range []seen{line.Input[c], line.Output[c]} {
				require.InDelta(t, -20, *level.Peak, 0.1)
				require.InDelta(t, -20, *level.Hold, 0.1)
				require.InDelta(t, -20, *level.TruePeak, 0.1)
				require.InDelta(t, -20, *level.RMS, 0.1) // AES17: a sine reads the same as peak and as rms
				require.Zero(t, *level.Clipped)
			}
			require.InDelta(t, -20, *line.Camera[c].Peak, 0.1)
			require.InDelta(t, 20, *line.Camera[c].Headroom, 0.1)
			require.Nil(t, line.Camera[c].Zone, "nobody spoke")
		}
		require.Len(t, line.Bands, bands.Usable(rate))
		require.InDelta(t, -20, *line.Bands[18].Level, 0.1)
		require.EqualValues(t, 1000, line.Bands[18].Nominal)
		// EBU Tech 3341: a 1 kHz sine at −x dBFS on left and right reads −x LUFS.
		require.InDelta(t, -20, *line.Loudness.Momentary, 0.1)
		require.InDelta(t, -20, *line.Loudness.Integrated, 0.1)
		require.Zero(t, *line.Dropouts)
	}
}

func TestWatchRunsTheChain(t *testing.T) {
	u := newUser(t)
	path := tone(t, 100, -20, 3, stereo48)
	require.InDelta(t, -14, *u.last(path, "--gain", "6").Output[0].Peak, 0.1)
	require.InDelta(t, -20, *u.last(path, "--gain", "6 dB").Input[0].Peak, 0.1)
	// Fourth-order Butterworth an octave below its cutoff: −10·lg(1+2^8) dB.
	octave := -20 - 10*math.Log10(257)
	require.InDelta(t, octave, *u.last(path, "--high-pass", "200/24").Output[0].RMS, 0.1)
	require.InDelta(t, octave, *u.last(path, "--low-pass", "50/24").Output[1].RMS, 0.1)

	u.ok("preset", "save", "harbour wall", "--high-pass", "200/24")
	require.InDelta(t, octave, *u.last(path, "--preset", "harbour wall").Output[0].RMS, 0.1)
	require.InDelta(t, octave+3, *u.last(path, "--preset", "harbour wall", "--gain", "3").Output[0].RMS, 0.1)
}

func TestWatchRunsTheLimiter(t *testing.T) {
	u := newUser(t)
	path := tone(t, 1000, -20, 3, stereo48)
	require.InDelta(t, -6, *u.last(path, "--gain", "30", "--limit", "-6").Output[0].TruePeak, 0.3)
}

func TestWatchPlacesLevelsOnTheCamera(t *testing.T) {
	u := newUser(t)
	u.ok("camera", "save", "b camera", "--offset", "11", "--clip", "-1", "--target", "-14..-8")
	line := u.last(tone(t, 1000, -20, 3, stereo48), "--camera", "b camera")
	require.InDelta(t, -9, *line.Camera[0].Peak, 0.1)
	require.InDelta(t, 8, *line.Camera[0].Headroom, 0.1)
	require.Nil(t, line.Camera[0].Zone, "nobody spoke")
}

func TestWatchIsAsTheMonitorWasLeft(t *testing.T) {
	u := newUser(t)
	path := tone(t, 1000, -20, 1, stereo48)
	u.ok("camera", "save", "b camera", "--offset", "5")
	store, err := presets.Open(u.config)
	require.NoError(t, err)
	s := presets.DefaultSettings()
	s.Input, s.Channels, s.CameraName = "file:"+path, "2", "b camera"
	s.Strips.Set(0, chain.Settings{GainDB: -6})
	require.NoError(t, store.SaveSettings(s))
	line := objects[seenLine](t, u.ok("watch", "--fast", "--json", "--rate", "1"))[0]
	require.Len(t, line.Output, 1)
	require.InDelta(t, -26, *line.Output[0].Hold, 0.1)
	require.InDelta(t, -21, *line.Camera[0].Hold, 0.1)
	line = objects[seenLine](t, u.ok("watch", "--fast", "--json", "--rate", "1", "--gain", "0"))[0]
	require.InDelta(t, -20, *line.Output[0].Hold, 0.1, "with a chain flag the rest of the chain is off")
}

func TestWatchPicksChannels(t *testing.T) {
	u := newUser(t)
	block := make([]float32, 3*48000)
	for i := 0; i < len(block); i += 3 {
		block[i], block[i+1], block[i+2] = 0.5, 0.25, 0
	}
	path := file(t, block, capture.Format{RateHz: 48000, Channels: 3})
	for pick, want := range map[string][]float64{"1": {0.5}, "2": {0.25}, "2+1": {0.25, 0.5}, "mix": {0.25}, "1+2": {0.5, 0.25}} {
		line := u.last(path, "--channels", pick)
		require.Len(t, line.Input, len(want))
		for c := range want {
			require.InDelta(t, 20*math.Log10(want[c]), *line.Input[c].Hold, 0.1)
		}
	}
	require.Nil(t, u.last(path, "--channels", "3").Input[0].Peak, "silence reads null")
	require.Contains(t, u.run("watch", "--fast", "--input", "file:"+path).err, "has 3 channels: listening to 1+2", "which of many was not said")
}

func TestWatchLines(t *testing.T) {
	u := newUser(t)
	path := tone(t, 1000, -20, 2.25, stereo48)
	fast := []string{"watch", "--fast", "--input", "file:" + path}
	require.Len(t, objects[seenLine](t, u.ok(append(fast, "--json", "--rate", "4")...)), 9)
	lines := objects[seenLine](t, u.ok(append(fast, "--json", "--rate", "2", "--seconds", "1.5")...))
	require.Len(t, lines, 3)
	for n, line := range lines {
		require.InDelta(t, 0.5*float64(n+1), line.Elapsed, 0.011)
	}
	text := u.ok(append(fast, "--rate", "1")...)
	require.Equal(t, 3, strings.Count(text, "\n"))
	require.Contains(t, text, "1.00 s  input  −20.0  −20.0 dBFS  camera  −20.0  −20.0 dBFS unjudged unjudged  headroom   20.0 dB")
	require.NotContains(t, text, "DEMO")
}

// With --changes a line comes where there is something new to say.
func TestWatchTellsChangesAlone(t *testing.T) {
	u := newUser(t)
	path := tone(t, 1000, -20, 6, stereo48)
	all := strings.Split(strings.TrimSpace(u.ok("watch", "--input", "file:"+path, "--fast")), "\n")
	changes := strings.Split(strings.TrimSpace(u.ok("watch", "--input", "file:"+path, "--fast", "--changes")), "\n")
	require.Less(t, len(changes), len(all)/2)
	before := ""
	for _, line := range changes {
		at, words, found := strings.Cut(line, " s: ")
		require.True(t, found, line)
		require.Regexp(t, `^[0-9.]+$`, at)
		require.NotEqual(t, before, words, "nothing new is said")
		before = words
	}
}

func TestWatchIsTheSameLiveAndFast(t *testing.T) {
	u := newUser(t)
	path := tone(t, 1000, -3, 1, stereo48)
	args := []string{"watch", "--json", "--rate", "5", "--high-pass", "120/18", "--input", "file:" + path}
	live := objects[seenLine](t, u.ok(args...))
	fast := objects[seenLine](t, u.ok(append(args, "--fast")...))
	require.Equal(t, fast[len(fast)-1], live[len(live)-1])
	require.GreaterOrEqual(t, len(live), 2)
}

func TestWatchWithoutAnInputSaysSoAndRunsTheDemo(t *testing.T) {
	u := newUser(t)
	r := u.run("watch", "--seconds", "1")
	require.Zero(t, r.code)
	require.Contains(t, r.err, "No usable input")
	require.Equal(t, 1, strings.Count(r.err, "\n"))
	for _, line := range strings.Split(strings.TrimSpace(r.out), "\n") {
		require.True(t, strings.HasPrefix(line, "DEMO "), "%q", line)
	}
	lines := objects[seenLine](t, u.ok("watch", "--seconds", "1", "--input", "demo", "--json"))
	require.Equal(t, "demo scene", lines[0].Source)
	require.Nil(t, lines[0].ID)
}

func TestWatchTakesDamagedFilesAsFarAsTheyGo(t *testing.T) {
	u := newUser(t)
	path := tone(t, 1000, -20, 2, stereo48)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	cut := filepath.Join(t.TempDir(), "cut.wav")
	require.NoError(t, os.WriteFile(cut, whole[:len(whole)/2], 0o644))
	r := u.run("watch", "--fast", "--json", "--input", "file:"+cut)
	require.Zero(t, r.code)
	require.Contains(t, r.err, "cut short: reading the 1.0 s that are there")
	lines := objects[seenLine](t, r.out)
	require.InDelta(t, 1, lines[len(lines)-1].Elapsed, 0.011)

	nan := float32(math.NaN())
	r = u.run("watch", "--fast", "--json", "--input", "file:"+file(t, []float32{nan, 1, 0.5, nan}, stereo48))
	require.Zero(t, r.code)
	require.Contains(t, r.err, "2 samples were not finite")
}

func TestWatchStopsOnAWord(t *testing.T) {
	u := newUser(t)
	cmd := u.command("watch", "--input", "demo", "--json", "--rate", "20")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewReader(out)
	first, err := lines.ReadString('\n')
	require.NoError(t, err)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	rest := first
	for {
		line, err := lines.ReadString('\n')
		rest += line
		if err != nil {
			break
		}
	}
	objects[seenLine](t, rest)
	require.NoError(t, cmd.Wait(), "ctrl-c is how it is meant to end")
}

type seenSaid struct {
	Code, Severity, Text string
}

// Everything that is wrong on the screen a script can read, with the one
// sentence; no line comes before there is something to read.
func TestWatchTellsWhatIsWrong(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.Tone(t, 1000, 0.5)
	server.Pactl(t, "set-source-volume", soundtest.MicID, "50%")
	u := newListener(t)
	cmd := u.command("watch", "--json", "--rate", "5", "--input", soundtest.MicName)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	codes := map[string]string{}
	lines := bufio.NewScanner(out)
	lines.Buffer(nil, 1<<20)
	for n := 0; codes["input-volume"] == "" || n < 20; n++ { // the mixer takes its time to tell
		require.True(t, lines.Scan() && n < 300, "never said: %v", codes)
		line := objects[seenLine](t, lines.Text()+"\n")[0]
		require.NotNil(t, line.Input[0].Peak, "no line is before the first sound")
		require.NotEmpty(t, line.Advice)
		require.NotEmpty(t, line.Advice.Text)
		for _, c := range line.Conditions {
			codes[c.Code] = c.Severity
		}
	}
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_, _ = io.Copy(io.Discard, out)
	require.NoError(t, cmd.Wait())
	require.Equal(t, "caution", codes["input-volume"])
	require.NotContains(t, codes, "camera-not-fed", "watch feeds nothing, and nobody expects it to")
}

func TestWatchHearsTheMicrophone(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	devices := objects[seenDevices](t, u.ok("devices", "--json"))[0]
	require.True(t, devices.has(devices.Inputs, soundtest.MicName))
	require.True(t, devices.has(devices.Outputs, soundtest.CameraName))
	require.Contains(t, u.ok("devices"), soundtest.MicName+" (default)")

	server.Tone(t, 1000, 0.1) // −20 dBFS
	for _, input := range []string{soundtest.MicName, "field", soundtest.MicID} {
		eventually(t, "the tone, which a busy machine may cut now and then", func() bool {
			lines := objects[seenLine](t, u.ok("watch", "--json", "--seconds", "3", "--rate", "5", "--input", input))
			require.Equal(t, soundtest.MicName, lines[0].Source)
			require.Equal(t, "id:pulseaudio:"+soundtest.MicID, *lines[0].ID)
			return slices.ContainsFunc(lines, func(l seenLine) bool { return readsTwice(l.Input, -20) && readsTwice(l.Output, -20) })
		})
	}
	require.Contains(t, u.refused("watch", "--input", "harbour"), soundtest.MicName)
}

func TestWatchSaysThatTheInputIsLost(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	cmd := u.command("watch", "--input", soundtest.MicName)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	levels := bufio.NewReader(out)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	_, err = levels.ReadString('\n')
	require.NoError(t, err)
	go func() { _, _ = io.Copy(io.Discard, levels) }()
	server.RemoveMic(t)
	lines := bufio.NewScanner(words)
	require.True(t, lines.Scan())
	require.Contains(t, lines.Text(), "INPUT LOST: "+soundtest.MicName)
	server.ReturnMic(t)
	require.True(t, lines.Scan())
	require.Contains(t, lines.Text(), soundtest.MicName+" is back")
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	require.NoError(t, cmd.Wait())
}

// readsTwice tells whether both channels read a level as peak and as rms.
func readsTwice(levels []seen, dbfs float64) bool {
	near := func(x *float64) bool { return x != nil && math.Abs(*x-dbfs) <= 0.1 }
	return len(levels) == 2 && near(levels[0].Peak) && near(levels[0].RMS) && near(levels[1].Peak) && near(levels[1].RMS)
}
