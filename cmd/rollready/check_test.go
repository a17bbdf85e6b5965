package main

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/dsp/camera"
	"rollready/presets"
)

// checked is the output of check --json, with the names that scripts use.
type checked struct {
	Verdict  string `json:"verdict"`
	Findings []struct {
		Code     string `json:"code"`
		Severity string `json:"severity"`
		Place    string `json:"place"`
		Channel  int    `json:"channel"`
		Channels []int  `json:"channels"`
		Track    string `json:"track"`
		ByDB     int    `json:"by_db"`
		Message  string `json:"message"`
		Action   string `json:"action"`
	} `json:"findings"`
	Recommend struct {
		Gain     *float64 `json:"output_gain_db"`
		HighPass *float64 `json:"high_pass_hz"`
	} `json:"recommend"`
	RoomTone struct {
		DBFS *float64 `json:"level_dbfs"`
		DBA  *float64 `json:"level_dba"`
	} `json:"room_tone"`
	Voice struct {
		Peak *float64 `json:"peak_dbfs"`
		LUFS *float64 `json:"short_term_lufs"`
		SNR  *float64 `json:"snr_db"`
		SNRA *float64 `json:"snr_dba"`
	} `json:"voice"`
	Strips []any `json:"strips"`
}

func (c checked) codes() string {
	var list []string
	for _, f := range c.Findings {
		list = append(list, f.Code)
	}
	return strings.Join(list, " ")
}

// talk is a place at which someone talks from one second to another: harmonics
// of a gliding pitch in syllables, peaks at −9 dBFS, room tone of −60 dBFS.
func talk(seconds, from, until float64, f capture.Format) []float32 {
	random := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, int(seconds*float64(f.RateHz))*f.Channels)
	phase := 0.0
	for i := 0; i < len(x); i += f.Channels {
		at := float64(i/f.Channels) / float64(f.RateHz)
		phase += 2 * math.Pi * (130 + 20*math.Sin(2*at)) / float64(f.RateHz)
		v := 0.0
		if at >= from && at < until {
			for k := 1.0; k < 20; k++ {
				v += math.Sin(k*phase+k*k) / k
			}
			v *= 0.187 * math.Pow(math.Sin(2*math.Pi*2*at), 2)
		}
		for c := range f.Channels {
			x[i+c] = float32(v + 0.0007*random.NormFloat64())
		}
	}
	return x
}

func (u user) checks(args ...string) checked {
	u.t.Helper()
	r := u.run(append([]string{"check", "--json"}, args...)...)
	require.Empty(u.t, r.err)
	c := objects[checked](u.t, r.out)[0]
	require.Equal(u.t, c.Verdict == "not-ready", r.code == exitFinding, "%d %s", r.code, r.out)
	return c
}

func TestCheckOfAFile(t *testing.T) {
	u := newUser(t)
	for _, f := range []capture.Format{stereo48, {RateHz: 44100, Channels: 1}, {RateHz: 96000, Channels: 2}} {
		path := file(t, talk(15, 5, 15, f), f)
		found := u.checks(path)
		given := u.checks("--input", "file:"+path, "--room", "0:05", "--voice", "5:15")
		require.Equal(t, "ready", found.Verdict, found.codes())
		require.Equal(t, "ready", given.Verdict, given.codes())
		require.InDelta(t, *given.Voice.Peak, *found.Voice.Peak, 0.5)
		require.InDelta(t, *given.RoomTone.DBFS, *found.RoomTone.DBFS, 0.5)
		require.InDelta(t, -60.1, *given.RoomTone.DBFS, 0.3)
		require.InDelta(t, -9-*given.Voice.Peak, *given.Recommend.Gain, 0.1)
	}
}

// Gain and camera change where the voice sits, not what is recommended.
func TestCheckJudgesOnTheCamerasScale(t *testing.T) {
	u := newUser(t)
	path := file(t, talk(15, 5, 15, stereo48), stereo48)
	plain := u.checks(path)
	store, err := presets.Open(u.config)
	require.NoError(t, err)
	far := presets.Camera{Name: "far camera", Scale: camera.Default}
	far.Scale.OffsetDB = -20
	require.NoError(t, store.Cameras.Save(far))
	hot := u.checks(path, "--gain", "12")
	require.Contains(t, hot.codes(), "too-hot")
	require.Equal(t, "not-ready", hot.Verdict)
	require.InDelta(t, *plain.Recommend.Gain, *hot.Recommend.Gain, 0.15)
	away := u.checks(path, "--camera", "far camera")
	require.Equal(t, "too-quiet", away.codes())
	require.Contains(t, away.Findings[0].Action, "turn the camera's mic level up")
}

func TestCheckFindsFaults(t *testing.T) {
	u := newUser(t)
	x := talk(15, 5, 15, stereo48)
	for i := range x {
		at := float64(i/2) / 48000
		x[i] += float32(0.004 * math.Sin(2*math.Pi*50*at))
		if i%2 == 1 {
			x[i] *= -1
		}
	}
	c := u.checks(file(t, x, stereo48))
	require.Equal(t, "polarity-inverted hum", c.codes())
	require.Equal(t, "not-ready", c.Verdict)
	require.Contains(t, c.Findings[1].Message, "channels 1 and 2")
	c = u.checks(file(t, make([]float32, 15*96000), stereo48))
	require.Equal(t, "silence", c.codes())
	require.Nil(t, c.RoomTone.DBFS)
	require.Nil(t, c.Recommend.Gain)
}

// TestCheckGivesOneFigureForTheRoom: what is said of the room is what is
// shown, also where rumble makes the flat figure another.
func TestCheckGivesOneFigureForTheRoom(t *testing.T) {
	u := newUser(t)
	x := talk(15, 5, 15, stereo48)
	random, low := rand.New(rand.NewPCG(3, 4)), 0.0
	for i := 0; i < len(x); i += 2 {
		low += 0.02 * (random.NormFloat64() - low)
		x[i] += float32(0.2*low + 0.008*random.NormFloat64())
		x[i+1] = x[i]
	}
	path := file(t, x, stereo48)
	c := u.checks(path)
	require.Contains(t, c.codes(), "noise-high")
	require.Greater(t, math.Abs(*c.Voice.SNRA-*c.Voice.SNR), 1.0)
	out := u.ok("check", path)
	require.Contains(t, out, fmt.Sprintf("only %.0f dB above the room", *c.Voice.SNRA))
	require.Contains(t, out, fmt.Sprintf("; %.1f dBA above the room", *c.Voice.SNRA))
}

// What is muted here is not judged; where nothing else is left, nobody may roll,
// and no gain is asked for.
func TestMutedMicrophones(t *testing.T) {
	u := newUser(t)
	x := talk(15, 5, 15, stereo48)
	for i := 1; i < len(x); i += 2 {
		x[i] = 0
	}
	path := file(t, x, stereo48)
	require.Equal(t, "dead-channel", u.checks(path).codes())
	c := u.checks(path, "--mute", "2")
	require.Empty(t, c.codes())
	require.Equal(t, "ready", c.Verdict)
	require.InDelta(t, -9-*c.Voice.Peak, *c.Recommend.Gain, 1.5)
	for _, args := range [][]string{{"--mute", "1,2"}, {"--channels", "1", "--mute", "1"}} {
		c = u.checks(append([]string{path}, args...)...)
		require.Equal(t, "not-ready", c.Verdict, args)
		require.Equal(t, "muted", c.Findings[0].Code, args)
		out := u.ok(append([]string{"watch", "--input", "file:" + path, "--fast"}, args...)...)
		require.Contains(t, out, "All microphones are muted here: unmute them (x).")
		require.NotContains(t, out, "∞ dB.")
	}
}

// One voice in two microphones that go to one channel of the camera is 6 dB higher
// there (20·log10 2), and that is what is judged and set right.
func TestCheckJudgesWhatTheCameraGetsOfTwo(t *testing.T) {
	u := newUser(t)
	path := file(t, talk(15, 5, 15, stereo48), stereo48)
	apart := u.checks(path, "--gain", "2")
	require.Equal(t, "ready", apart.Verdict, apart.codes())
	for _, route := range []string{"together", "safety", "left"} {
		sum := u.checks(path, "--gain", "2", "--route", route)
		require.Equal(t, "too-hot", sum.codes(), route)
		require.InDelta(t, *apart.Recommend.Gain-6, *sum.Recommend.Gain, 0.15, route)
		require.InDelta(t, *apart.Voice.Peak, *sum.Voice.Peak, 0.01, route)
		camera := fmt.Sprintf("at the camera %.1f dBFS", *sum.Voice.Peak+6.02)
		require.Contains(t, u.run("check", path, "--gain", "2", "--route", route).out, strings.Replace(camera, "-", "−", 1))
	}
}

func TestCheckInWords(t *testing.T) {
	u := newUser(t)
	out := u.ok("check", file(t, talk(15, 5, 15, stereo48), stereo48))
	for _, want := range []string{"READY: you may roll", "Suits this voice here: output gain", "Set now:", "dBA above the room", "Room tone:"} {
		require.Contains(t, out, want)
	}
	r := u.run("check", file(t, make([]float32, 15*96000), stereo48))
	require.Equal(t, exitFinding, r.code)
	require.Contains(t, r.out, "NOT-READY: do not roll yet")
	require.Contains(t, r.out, "Nothing comes in.")
	require.Contains(t, u.ok("check", "--input", "demo"), "roll")
}

func TestCheckUsedWrongly(t *testing.T) {
	u := newUser(t)
	path := file(t, talk(6, 2, 6, stereo48), stereo48)
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{path, path}, "one at a time"},
		{[]string{path, "--input", "demo"}, "both a file and --input"},
		{[]string{path, "--room", "0:2"}, "belong together"},
		{[]string{path, "--voice", "0:2"}, "belong together"},
		{[]string{path, "--room", "2", "--voice", "2:6"}, "write START:END in seconds"},
		{[]string{path, "--room", "2:1", "--voice", "2:6"}, "write START:END in seconds"},
		{[]string{path, "--room", "-1:1", "--voice", "2:NaN"}, "write START:END in seconds"},
		{[]string{path, "--room", "0:2", "--voice", "2:60"}, "lasts 6.0 s, not 60.0 s"},
		{[]string{path, "--room", "0:0.1", "--voice", "2:6"}, "too short"},
		{[]string{path, "--channels", "3"}, "channel 3: the input has 2"},
		{[]string{"absent.wav"}, "absent.wav: no such file"},
		{[]string{"main.go"}, "main.go"},
		{[]string{file(t, talk(3, 0, 3, stereo48), stereo48)}, "no room tone found"},
		{[]string{"--room", "0:2", "--voice", "2:5"}, "are for files"},
		{[]string{"--input", "absent"}, "connect a microphone"},
		{nil, "connect a microphone"},
	} {
		require.Contains(t, u.refused(append([]string{"check"}, c.args...)...), c.want, "%v", c.args)
	}
}

// The live check, through a sound server, as a script runs it: it talks when
// it is asked to.
func TestCheckLive(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	cmd := u.command("check", "--json", "--input", soundtest.MicName)
	var out bytes.Buffer
	cmd.Stdout = &out
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	var said []string
	for lines := bufio.NewScanner(words); lines.Scan(); {
		said = append(said, lines.Text())
		if strings.HasPrefix(lines.Text(), "2 of 2") {
			server.Samples(t, soundtest.RoomID, talk(20, 0, 20, stereo48))
		}
	}
	_ = cmd.Wait()
	c := objects[checked](t, out.String())[0]
	require.Equal(t, []string{"Checking Field Mic, 48000 Hz, 2 channels.", "1 of 2: stay quiet", "2 of 2: speak as you will speak"}, said)
	require.NotContains(t, c.codes(), "no-voice")
	require.NotContains(t, c.codes(), "silence")
	require.InDelta(t, -9, *c.Voice.Peak, 1.5)
}
