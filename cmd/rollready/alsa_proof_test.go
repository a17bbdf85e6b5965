//go:build proof && linux

package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/capture/take"
)

// onAlsa is a user who has no sound server, but these devices of ALSA's, in
// its own words, in ~/.asoundrc.
func onAlsa(t *testing.T, config string) user {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, ".asoundrc"), []byte(config), 0o600))
	u := newListener(t)
	u.env = append(append(u.env, "HOME="+dir), soundtest.NoServerEnv(dir)...)
	return u
}

// TestProofAlsaFile reads and records a tone through ALSA's file plugin. It
// keeps no time: a pipe does, into which 10 ms are written every 10 ms.
func TestProofAlsaFile(t *testing.T) {
	fifo := filepath.Join(t.TempDir(), "tone")
	require.NoError(t, syscall.Mkfifo(fifo, 0o600))
	pipe, err := os.OpenFile(fifo, os.O_RDWR, 0)
	require.NoError(t, err)
	defer pipe.Close()
	done := make(chan struct{})
	defer close(done)
	go func() {
		at := 0
		for began := time.Now(); ; time.Sleep(time.Millisecond) {
			for ; at < int(time.Since(began).Seconds()*100); at++ {
				_ = pipe.SetWriteDeadline(time.Now().Add(time.Millisecond)) // nobody reads: it is lost
				_, _ = pipe.Write(tenMilliseconds())
			}
			select {
			case <-done:
				return
			default:
			}
		}
	}()
	u := onAlsa(t, fmt.Sprintf(`pcm.tone { type file slave.pcm "null" file "/dev/null" infile "%s" format "raw" hint { show on description "Tone File" } }`, fifo))
	require.Contains(t, u.ok("devices"), "No input: connect a microphone", "only hardware is listed")
	eventually(t, "−20 dBFS", func() bool {
		for _, line := range objects[seenLine](t, u.ok("watch", "--input", "id:alsa:tone", "--json", "--seconds", "2", "--rate", "4")) {
			if line.Source == "Tone File" && readsTwice(line.Input, -20) {
				return true
			}
		}
		return false
	})
	recordsTheTone(t, u, "id:alsa:tone")
}

// tenMilliseconds of 1000 Hz at −20 dBFS, stereo, as ALSA takes floats.
func tenMilliseconds() (raw []byte) {
	for i := range 2 * 480 {
		x := math.Float32bits(float32(0.1 * math.Sin(2*math.Pi*float64(i/2)/48)))
		raw = append(raw, byte(x), byte(x>>8), byte(x>>16), byte(x>>24))
	}
	return raw
}

// recordsTheTone: three seconds, four tracks, each of which reads −20 dBFS
// after AES17.
func recordsTheTone(t *testing.T, u user, input string) {
	t.Helper()
	eventually(t, "a take that no busy machine broke", func() bool {
		r := u.run("take", "record", "--input", input, "--takes", t.TempDir(), "--seconds", "3", "--json")
		require.Zero(t, r.code, r.err)
		got := objects[take.Listed](t, r.out)[0]
		frames, channels := readAllFrames(t, got.Path)
		require.Equal(t, 4, channels)
		require.Len(t, frames, 4*3*48000)
		var power [4]float64
		for i, x := range frames {
			power[i%4] += 2 * float64(x) * float64(x) / (3 * 48000)
		}
		for c := range power {
			if !near(10*math.Log10(power[c]), -20) {
				t.Logf("track %d: %.2f dBFS, %v frames lost", c+1, 10*math.Log10(power[c]), got.Lost)
				return false
			}
		}
		return true
	})
}

// TestProofAlsa goes by ALSA's own calls to devices that keep time: those of
// the private sound server, through ALSA's plugin to it. The program knows of
// no server.
func TestProofAlsa(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.Tone(t, 1000, 0.1)
	u := onAlsa(t, fmt.Sprintf(`pcm.lav { type pulse server "%[1]s" device "%[2]s" hint { show on description "Lav" } }
pcm.camera { type pulse server "%[1]s" device "%[3]s" hint { show on description "Camera" } }
pcm.gone { type hw card 7 hint { show on description "Gone" } }`, server.Address(), soundtest.MicID, soundtest.CameraID))
	recordsTheTone(t, u, "id:alsa:lav")
	require.Contains(t, u.refused("watch", "--input", "id:alsa:gone"), `"Gone"`)
	for _, none := range []string{"", "lav", "null", "id:alsa:absent"} { // a plugin is no device unless its key is given
		require.Contains(t, u.refused("take", "record", "--input", none, "--takes", t.TempDir(), "--seconds", "1"), "no usable input device: connect a microphone", none)
	}
	require.Contains(t, u.refused("lineup", "tone", "--camera-output", "camera"), "no usable output device: connect")

	cmd := u.command("lineup", "tone", "--camera-output", "id:alsa:camera")
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	said := bufio.NewReader(words)
	until(t, said, `the system does not tell the volume of "Camera"`)
	eventually(t, "−20 dBFS at the camera", func() bool { return near(hears(t, server), -20) })
	_, _ = io.WriteString(in, "stop\n")
	_, _ = io.Copy(io.Discard, said)
	require.NoError(t, cmd.Wait())

	cmd = u.command("watch", "--input", "id:alsa:lav")
	words, err = cmd.StderrPipe()
	require.NoError(t, err)
	levels, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	out := bufio.NewReader(levels)
	until(t, out, "−20.0")
	go func() { _, _ = io.Copy(io.Discard, out) }()
	said = bufio.NewReader(words)
	server.Kill()
	until(t, said, "INPUT LOST: Lav")
	server.Boot(t)
	until(t, said, "Lav is back")
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_, _ = io.Copy(io.Discard, said)
	require.NoError(t, cmd.Wait())
}
