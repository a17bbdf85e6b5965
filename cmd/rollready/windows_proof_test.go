//go:build proof && linux

package main

import (
	"bufio"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/capture/take"
)

// TestProofWindows drives the program as it is built for Windows. DEVELOPERS.md
// tells what Wine can't show.
func TestProofWindows(t *testing.T) {
	w := newWindows(t)
	t.Run("tone at 48 kHz", func(t *testing.T) { w.readsATone(t, 48000) })
	t.Run("tone at 44100 Hz", func(t *testing.T) { w.readsATone(t, 44100) })
	t.Run("volumes", w.tellsVolumes)
	t.Run("microphone lost and back", w.losesTheMicrophone)
	t.Run("take with the microphone lost", w.recordsOverALoss)
	t.Run("take killed and interrupted", w.takeSurvives)
	t.Run("names", w.keepsNames)
	t.Run("paths", w.followsPaths)
	t.Run("exit codes", w.exits)
	t.Run("battery", w.asksTheBattery)
}

// readsATone: −20 dBFS by the sound server is −20 dBFS by WASAPI.
func (w windows) readsATone(t *testing.T, rateHz int) {
	server := soundtest.Start(t, capture.Format{RateHz: rateHz, Channels: 2})
	server.Tone(t, 1000, 0.1)
	u := w.user(t)
	list := objects[seenDevices](t, u.ok("devices", "--json"))[0]
	mic := seenIn(t, list.Inputs, soundtest.MicName)
	require.Equal(t, "wasapi", mic.Backend)
	require.Equal(t, 2, mic.Channels)
	require.Equal(t, []int{rateHz}, mic.RatesHz)
	require.True(t, list.has(list.Outputs, soundtest.CameraName))
	for _, choice := range []string{"field", mic.ID} {
		eventually(t, "−20 dBFS by "+choice, func() bool {
			for _, line := range objects[seenLine](t, u.ok("watch", "--input", choice, "--json", "--seconds", "2", "--rate", "2")) {
				if line.Source == soundtest.MicName && readsTwice(line.Input, -20) {
					return true
				}
			}
			return false
		})
	}
}

// tellsVolumes as Wine gives them: its endpoints stand at 0 dB whatever the
// sound server under it does.
func (w windows) tellsVolumes(t *testing.T) {
	soundtest.Start(t, stereo48)
	u := w.user(t)
	list := objects[seenDevices](t, u.ok("devices", "--json"))[0]
	for _, d := range []seenDevice{seenIn(t, list.Inputs, soundtest.MicName), seenIn(t, list.Outputs, soundtest.CameraName)} {
		require.NotNil(t, d.Volume, d.Name)
		require.Zero(t, *d.Volume, d.Name)
		require.NotNil(t, d.Muted, d.Name)
		require.False(t, *d.Muted, d.Name)
	}
	r := u.run("lineup", "tone", "--reads", "-14", "--camera", "b camera", "--new", "--with", soundtest.CameraName)
	require.Contains(t, r.err, `"Camera In" at 0.0 dB now`)
	require.Contains(t, u.ok("camera", "show", "b camera"), "Camera In, volume 0.0 dB")
	require.EqualValues(t, 0, keptVolume(u, "b camera"))

	// Our own stream to the output, and that from the microphone.
	cmd := u.command("lineup", "tone", "--camera-output", soundtest.CameraName, "--camera", "c camera", "--new")
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	until(t, bufio.NewReader(words), `the system has "Camera In" at 0.0 dB`)
	_, _ = io.WriteString(in, "stop\n")
	_, _ = io.Copy(io.Discard, words)
	require.NoError(t, cmd.Wait())
	require.NotContains(t, u.ok("watch", "--input", soundtest.MicName, "--seconds", "3", "--json"), "input-volume")
}

func (w windows) losesTheMicrophone(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.Tone(t, 1000, 0.1)
	u := w.user(t)
	cmd := u.command("watch", "--input", soundtest.MicName, "--json")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(out)
	reads := func() bool {
		var line seenLine
		return lines.Scan() && json.Unmarshal(lines.Bytes(), &line) == nil && readsTwice(line.Input, -20)
	}
	eventually(t, "−20 dBFS", reads)
	server.RemoveMic(t)
	said := bufio.NewReader(words)
	until(t, said, "INPUT LOST: "+soundtest.MicName)
	server.ReturnMic(t)
	until(t, said, soundtest.MicName+" is back")
	eventually(t, "−20 dBFS again", reads)
	require.NoError(t, cmd.Process.Signal(os.Interrupt)) // Wine hands it on as ctrl-c
	_, _ = io.Copy(io.Discard, out)
	require.NoError(t, cmd.Wait())
}

// recordsOverALoss: the take goes on, as long as it should be.
func (w windows) recordsOverALoss(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.Tone(t, 1000, 0.1)
	u := w.user(t)
	cmd := u.command("take", "record", "--input", soundtest.MicName, "--takes", `C:\lost`, "--seconds", "8", "--json")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	said := bufio.NewReader(words)
	until(t, said, `REC 1 take 1 in C:\lost\1_001.wav`)
	server.RemoveMic(t)
	until(t, said, "ALARM input-lost")
	server.ReturnMic(t)
	go func() { _, _ = io.Copy(io.Discard, said) }()
	text, err := io.ReadAll(out)
	require.NoError(t, err)
	require.NoError(t, cmd.Wait())
	got := objects[take.Listed](t, string(text))[0]
	require.EqualValues(t, 8, got.Length)
	require.Equal(t, "input lost", got.Markers[0].Text)
	require.Equal(t, "input back", got.Markers[1].Text)
	frames, channels := readAllFrames(t, w.at(got.Path))
	require.Equal(t, 4, channels)
	require.Len(t, frames, 4*8*48000)
}

// takeSurvives as a take does elsewhere: see TestTakeSurvivesKillAndInterrupt.
func (w windows) takeSurvives(t *testing.T) {
	u := w.user(t)
	const dir = `C:\Aufnahmen Küche ☂`
	for n, signal := range []os.Signal{os.Kill, os.Interrupt} {
		cmd := u.command("take", "record", "--input", "demo", "--takes", dir, "--scene", "7", "--json")
		require.NoError(t, cmd.Start())
		path := dir + []string{`\7_001.wav`, `\7_002.wav`}[n]
		eventually(t, "two seconds on the disk", func() bool {
			info, err := os.Stat(w.at(path))
			return err == nil && info.Size() > 2*48000*12
		})
		require.Contains(t, u.ok("take", "recover", path), "rolling", "another program has it open")
		require.NoError(t, cmd.Process.Signal(signal))
		require.Equal(t, signal == os.Kill, cmd.Wait() != nil)
		frames, _ := readAllFrames(t, w.at(path))
		require.Greater(t, len(frames), 4*48000)
	}
	files := objects[struct{ Files []take.Recovered }](t, u.ok("take", "recover", dir, "--json"))[0].Files
	require.Len(t, files, 2)
	require.EqualValues(t, "mended", files[0].Outcome)
	require.EqualValues(t, "whole", files[1].Outcome)
	mended, err := os.ReadFile(w.at(files[0].Path))
	require.NoError(t, err)
	u.ok("take", "recover", dir)
	again, err := os.ReadFile(w.at(files[0].Path))
	require.NoError(t, err)
	require.Equal(t, mended, again, "a second mending changes no byte")
	require.Len(t, objects[take.Listing](t, u.ok("take", "list", "--takes", dir, "--json"))[0].Takes, 2)
}

// keepsNames: what Windows can't name is refused by one line, and names that
// it takes for one are one.
func (w windows) keepsNames(t *testing.T) {
	u := w.user(t)
	for _, name := range []string{"NUL", "COM²", "conin$", `a\b`, "C:x"} { // more of them in the tests of presets
		require.Contains(t, u.refused("preset", "save", name), "choose another", name)
	}
	u.ok("preset", "save", "Ünïcode küche ☂", "--gain", "4")
	u.ok("preset", "save", "harbour wall", "--gain", "4", "--high-pass", "120/24")
	require.Contains(t, u.refused("preset", "save", "HARBOUR wall"), "the name is taken")
	require.Contains(t, u.refused("preset", "copy", "flat", "FLAT"), "the name is taken")
	require.Contains(t, u.ok("preset", "show", "Harbour Wall"), "+4.0 dB")
	u.ok("preset", "rename", "harbour wall", "pier")
	u.ok("preset", "delete", "PIER")
	list := u.ok("preset", "list")
	require.NotContains(t, list, "pier")
	require.Contains(t, list, "Ünïcode küche ☂\n")
	u.ok("preset", "undelete", "pier")

	// As an editor on Windows leaves it: lines that end in CR LF, behind a
	// byte order mark.
	path := w.at(u.config + `\presets\pier.toml`)
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	edited := strings.ReplaceAll(strings.ReplaceAll(string(raw), "gain_db = 4", "gain_db = 5"), "\n", "\r\n")
	require.NotEqual(t, string(raw), edited)
	for _, begin := range []string{"", "\ufeff"} {
		require.NoError(t, os.WriteFile(path, []byte(begin+edited), 0o600))
		require.Contains(t, u.ok("preset", "show", "pier"), "+5.0 dB")
	}
	u.ok("preset", "export", "pier", `C:\Pier ☂.toml`)
	require.FileExists(t, w.at(`C:\Pier ☂.toml`))
}

// followsPaths: drives, either slash, more than 260 letters, other scripts.
func (w windows) followsPaths(t *testing.T) {
	u := w.user(t)
	long := `C:\` + strings.Repeat(strings.Repeat("long ", 9)+`name\`, 8) + "日本語"
	require.Greater(t, len(long), 300)
	for _, dir := range []string{long, `C:/either slash/Küche ☂`} {
		r := u.run("take", "record", "--input", "demo", "--takes", dir, "--seconds", "1")
		require.Zero(t, r.code, "%s: %s", dir, r.err)
		require.Contains(t, u.ok("take", "list", "--takes", dir), "1 take 1", dir)
		dir = strings.ReplaceAll(dir, "/", `\`)
		page := dir + `\Bericht ü ☂.html`
		r = u.run("report", dir, "--html", page)
		require.Contains(t, []int{0, exitFinding}, r.code, "%s: %s", dir, r.err) // on a busy machine a second may have gaps
		require.Contains(t, r.out, "1_001.wav", dir)
		html, err := os.ReadFile(w.at(page))
		require.NoError(t, err)
		require.Contains(t, string(html), "</html>")
		require.Contains(t, string(html), "1_001.wav")
		u.ok("process", dir+`\1_001.wav`, dir+`\dry.wav`, "--gain", "-6")
		require.FileExists(t, w.at(dir+`\dry.wav`))
	}
	for _, dir := range []string{`C:\con`, `Q:\no such drive`} {
		require.Contains(t, u.refused("take", "record", "--input", "demo", "--takes", dir, "--seconds", "1"), "choose another", dir)
	}
	require.Contains(t, u.refused("take", "record", "--input", "demo", "--takes", `C:\t`, "--scene", "3a/b"), "can't be part of a file name")
}

func (w windows) exits(t *testing.T) {
	soundtest.Start(t, stereo48)
	u := w.user(t)
	require.Contains(t, u.refused("rehearse"), "not understood")
	require.Contains(t, u.refused("watch", "--input", "absent"), "is not there: choose from")
	require.Contains(t, u.refused(), "the monitor needs a terminal")
	r := u.run("report", "Z:"+strings.ReplaceAll(file(t, make([]float32, 96000), stereo48), "/", `\`))
	require.Equal(t, exitFinding, r.code, r.out+r.err)
	require.Contains(t, r.out, "Nothing")
}

// asksTheBattery runs its package's test of Windows' call, which Wine answers.
func (w windows) asksTheBattery(t *testing.T) {
	exe := filepath.Join(t.TempDir(), "power.exe")
	build := exec.Command("go", "test", "-c", "-o", exe, "../../capture/power")
	build.Env = append(os.Environ(), "GOOS=windows", "GOARCH=amd64", "CGO_ENABLED=0")
	w.must(t, build)
	test := exec.Command(wineProgram, exe, "-test.run", "^TestStatus$", "-test.v")
	test.Env = append(os.Environ(), w.env...)
	said, err := test.CombinedOutput()
	require.NoError(t, err, "%s", said)
	require.Contains(t, string(said), "PASS: TestStatus")
	t.Logf("%s", said)
}
