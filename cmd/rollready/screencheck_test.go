//go:build linux

package main

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/presets"
)

// pane is the program in a real terminal, on a sound system of its own.
type pane struct {
	user
	socket string
}

func openPane(t *testing.T, args ...string) *pane {
	t.Helper()
	soundtest.Need(t, "tmux")
	p := &pane{user{t, filepath.Join(t.TempDir(), "config"), os.Environ()}, fmt.Sprintf("rollready-%d-%d", os.Getpid(), time.Now().UnixNano())}
	require.Zero(t, p.run("camera", "save", "b camera").code)
	p.tmux(append([]string{"-f", "/dev/null", "new-session", "-d", "-x", "80", "-y", "24", "env", "TERM=tmux-256color", binary, "--config", p.config}, args...)...)
	t.Cleanup(func() { _ = exec.Command("tmux", "-L", p.socket, "kill-server").Run() })
	return p
}

func (p *pane) tmux(args ...string) string {
	p.t.Helper()
	out, err := exec.Command("tmux", append([]string{"-L", p.socket}, args...)...).CombinedOutput()
	require.NoError(p.t, err, "tmux %v: %s", args, out)
	return string(out)
}

func (p *pane) keys(keys ...string) { p.t.Helper(); p.tmux(append([]string{"send-keys"}, keys...)...) }
func (p *pane) line(text string) {
	p.t.Helper()
	p.tmux("send-keys", "C-u")
	p.tmux("send-keys", "-l", "--", text)
	p.keys("Enter")
}

// waitFor waits until the screen shows a text.
func (p *pane) waitFor(text string) string {
	p.t.Helper()
	s := ""
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		if s = p.tmux("capture-pane", "-p"); strings.Contains(s, text) {
			return s
		}
	}
	require.Fail(p.t, "not seen within a minute: "+text, s)
	return ""
}

// open goes from screen to screen until one shows a text.
func (p *pane) open(text string) {
	p.t.Helper()
	p.waitFor("? keys")
	for range 12 {
		if strings.Contains(p.tmux("capture-pane", "-p"), text) {
			return
		}
		p.keys("Tab")
		time.Sleep(200 * time.Millisecond) // a screen more or less does no harm
	}
	p.waitFor(text)
}

// until waits for settings on disk.
func (p *pane) until(what string, is func(presets.Settings) bool) {
	p.t.Helper()
	store, err := presets.Open(p.config)
	require.NoError(p.t, err)
	require.Eventually(p.t, func() bool {
		s, err := store.Settings()
		return err == nil && is(s)
	}, time.Minute, 50*time.Millisecond, what)
}

// place plays a room into the virtual microphone, and the voice in it while
// speaks is set; its peaks lie levelDB above −9 dBFS.
func place(t *testing.T, server *soundtest.Server, levelDB float64) (speaks *atomic.Bool) {
	speaks = new(atomic.Bool)
	quiet, voice := talk(5, 9, 9, stereo48), talk(10, 0, 10, stereo48)
	scale, at := float32(math.Pow(10, levelDB/20)), 0
	server.Play(t, soundtest.RoomID, func(block []float32) int {
		from := quiet
		if speaks.Load() {
			from = voice
		}
		for i := range block {
			block[i] = scale * from[(at+i)%len(from)]
		}
		at += len(block)
		return len(block)
	})
	return speaks
}

// A whole check in front of the virtual microphone, with a word said too
// early; then its advice is applied, kept, and taken back.
func TestScreenCheckOfAVoice(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	speaks := place(t, server, -12)
	p := openPane(t, "--input", soundtest.MicName)
	p.open("enter begins")
	p.keys("Enter")
	p.waitFor("3 s left")
	speaks.Store(true)
	p.waitFor("someone talked or knocked")
	speaks.Store(false)
	p.waitFor("▌ Speak as you will speak.")
	p.waitFor("9 s left")
	speaks.Store(true)
	s := p.waitFor("Suits this voice here")
	require.Contains(t, s, "CAUTION")
	require.Contains(t, s, "just now")
	p.keys("a")
	p.waitFor("Applied. u brings back 0.0 dB, off")
	require.Eventually(t, func() bool {
		s = p.tmux("capture-pane", "-p")
		return !strings.Contains(s, "judging anew") && !strings.Contains(s, "Set the output gain")
	}, 20*time.Second, 50*time.Millisecond)
	if !strings.Contains(s, "The sound broke off") { // a busy machine
		require.Contains(t, s, "READY  you may roll")
	}
	gain := 0.0
	p.until("the advice", func(s presets.Settings) bool {
		gain = s.Chain.GainDB
		return gain != 0 && s.Chain.HighPass.On()
	})
	require.InDelta(t, 12, gain, 1.5)
	p.keys("u")
	p.waitFor("The chain is as it was before")
	p.until("the chain as before", func(s presets.Settings) bool { return s.Chain.GainDB == 0 && !s.Chain.HighPass.On() })
	p.open("··room")
}

// On the demo scene, which never is quiet for long, a check still ends.
func TestScreenCheckOfTheDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("listens for up to a minute")
	}
	p := openPane(t, "--input", "demo")
	p.open("enter begins")
	p.keys("Enter")
	p.waitFor("s left")
	p.waitFor("Suits this voice here")
	p.waitFor("DEMO")
}

// By tone: it rises to its level at the camera, what is typed ends in the
// profile, the camera meter of the monitor moves by as much, and leaving the
// screen silences the output.
func TestScreenLineUpByTone(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.Tone(t, 300, 0.1)
	p := openPane(t, "--input", soundtest.MicName, "--camera", "b camera")
	p.open("Camera  ")
	p.waitFor("−20.0 dBFS")
	p.open("Then the tone: space")
	p.waitFor(soundtest.CameraName)
	require.True(t, math.IsInf(hears(t, server), -1), "nothing sounds of itself")
	p.keys("Space")
	p.waitFor("RISING")
	p.waitFor("Tone         ON")
	require.Eventually(t, func() bool { return near(hears(t, server), -20) }, 20*time.Second, 10*time.Millisecond)
	p.keys("+", "+", "+", "+", "+", "+")
	p.waitFor("Level        −14.0 dBFS")
	require.Eventually(t, func() bool { return near(hears(t, server), -14) }, 20*time.Second, 10*time.Millisecond)
	p.keys("e")
	p.waitFor("With the tone at −14.0 dBFS")
	p.line("-10")
	p.waitFor("Mic level on the camera now")
	p.line("manual, step 2")
	p.waitFor("manual, step 2")
	require.Eventually(t, func() bool { return strings.Contains(p.run("camera", "show", "b camera").out, "manual, step 2") }, 20*time.Second, 50*time.Millisecond)
	shown := p.ok("camera", "show", "b camera")
	require.Contains(t, shown, "reads output +4.0 dB")
	require.Contains(t, shown, soundtest.CameraName)
	p.open("headroom")
	p.waitFor("−16.0 dBFS")
	require.Eventually(t, func() bool { return math.IsInf(hears(t, server), -1) }, 20*time.Second, 10*time.Millisecond)
}

// By clip: the sequence shows where it is and can be stopped; a clip of it
// is read by its path.
func TestScreenLineUpByClip(t *testing.T) {
	soundtest.Start(t, stereo48)
	p := openPane(t, "--input", "demo", "--camera", "b camera")
	clip := through(t, sequenceFile(t, p.user), "clip.wav", "-af", "volume=-5dB")
	p.open("Then the tone: space")
	p.waitFor(soundtest.CameraName)
	p.keys("s")
	p.waitFor("SENDING")
	p.waitFor("ident right")
	p.keys("s")
	p.waitFor("Sequence     not sent")
	p.keys("f")
	p.waitFor("Path of the camera's clip")
	p.line(clip)
	p.waitFor("Frequency response")
	p.waitFor("−5.0 dB")
	require.Eventually(t, func() bool { return strings.Contains(p.run("camera", "show", "b camera").out, "reads output -5.0 dB") }, 20*time.Second, 50*time.Millisecond)
}
