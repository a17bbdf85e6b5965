//go:build proof && linux

package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/presets"
)

// openCamera runs the program with a camera's profile saved.
func openCamera(t *testing.T, args ...string) *screen {
	t.Helper()
	s := openScreen(newListener(t), 80, 24)
	s.ok("camera", "save", "b camera")
	s.start(args...)
	return s
}

// until waits for settings on disk.
func (s *screen) kept(what string, is func(presets.Settings) bool) {
	s.t.Helper()
	store, err := presets.Open(s.config)
	require.NoError(s.t, err)
	eventually(s.t, what, func() bool {
		s, err := store.Settings()
		return err == nil && is(s)
	})
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

// waitForLeft waits for one of some seconds left: the machine may stand still
// for one of them.
func waitForLeft(p *screen, seconds ...int) {
	p.t.Helper()
	p.Until("the seconds left", func(s string) bool {
		return slices.ContainsFunc(seconds, func(n int) bool { return strings.Contains(s, fmt.Sprintf(" %d s left", n)) })
	})
}

// A whole check in front of the virtual microphone, with a word said too
// early; then its advice is applied, kept, and taken back.
func TestProofScreenCheckOfAVoice(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	speaks := place(t, server, -12)
	p := openCamera(t, "--input", soundtest.MicName)
	p.open("Check")
	p.WaitFor("enter begins")
	p.Keys("Enter")
	waitForLeft(p, 3, 2, 1)
	speaks.Store(true)
	p.WaitFor("someone talked or knocked")
	speaks.Store(false)
	p.WaitFor("▌ Speak as you will speak.")
	waitForLeft(p, 9, 8, 7)
	speaks.Store(true)
	s := p.WaitFor("Suits this voice here")
	require.Contains(t, s, "CAUTION")
	require.Contains(t, s, "just now")
	p.Keys("a")
	p.WaitFor("Applied. u brings back 0.0 dB, off")
	s = p.Until("the gain judged anew", func(s string) bool {
		return !strings.Contains(s, "judging anew") && !strings.Contains(s, "Set the output gain")
	})
	if !strings.Contains(s, "The sound broke off") { // a busy machine
		require.Contains(t, s, "READY  but the camera is not fed")
	}
	gain := 0.0
	p.kept("the advice", func(s presets.Settings) bool {
		gain = s.Chain().GainDB
		return gain != 0 && s.Chain().HighPass.On()
	})
	require.InDelta(t, 12, gain, 1.5)
	p.Keys("u")
	p.WaitFor("The chain is as it was before")
	p.kept("the chain as before", func(s presets.Settings) bool { return s.Chain().GainDB == 0 && !s.Chain().HighPass.On() })
	p.open("Monitor")
	p.WaitFor("··room")
}

// On the demo scene, which never is quiet for long, a check still ends.
func TestProofScreenCheckOfTheDemo(t *testing.T) {
	p := openCamera(t, "--input", "demo")
	p.open("Check")
	p.WaitFor("enter begins")
	p.Keys("Enter")
	p.WaitFor("s left")
	p.WaitFor("Suits this voice here")
	p.WaitFor("DEMO")
}

// By tone: it rises to its level at the camera, what is typed ends in the
// profile, the camera meter of the monitor moves by as much, and leaving the
// screen silences the output.
func TestProofScreenLineUpByTone(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.Tone(t, 300, 0.1)
	p := openCamera(t, "--input", soundtest.MicName, "--camera", "b camera")
	p.open("Monitor")
	p.WaitFor("−20.0 dBFS")
	p.open("Line-up")
	p.WaitFor("Then the tone: space", soundtest.CameraName)
	require.True(t, math.IsInf(hears(t, server), -1), "nothing sounds of itself")
	p.Keys("Space")
	p.WaitFor("Headphones off?") // nothing sounds unasked
	p.Keys("Enter")
	p.Until("rising, or risen", func(s string) bool { return strings.Contains(s, "RISING") || strings.Contains(s, "Tone         ON") })
	p.WaitFor("Tone         ON")
	eventually(t, "−20 dBFS at the camera", func() bool { return near(hears(t, server), -20) })
	p.Keys("+", "+", "+", "+", "+", "+")
	p.WaitFor("Level        −14.0 dBFS")
	eventually(t, "−14 dBFS at the camera", func() bool { return near(hears(t, server), -14) })
	p.Keys("e")
	p.WaitFor("Tone of −14.0 dBFS")
	p.Instead("-10")
	p.WaitFor("Mic level on the camera now")
	p.Instead("manual, step 2")
	p.WaitFor("manual, step 2")
	eventually(t, "the profile on disk", func() bool { return strings.Contains(p.run("camera", "show", "b camera").out, "manual, step 2") })
	shown := p.ok("camera", "show", "b camera")
	require.Contains(t, shown, "reads output +4.0 dB")
	require.Contains(t, shown, soundtest.CameraName)
	p.open("Monitor")
	p.WaitFor("−16.0 dBFS")
	eventually(t, "silence at the camera", func() bool { return math.IsInf(hears(t, server), -1) })
}

// By clip: the sequence shows where it is and can be stopped; a clip of it
// is read by its path.
func TestProofScreenLineUpByClip(t *testing.T) {
	soundtest.Start(t, stereo48)
	p := openCamera(t, "--input", "demo", "--camera", "b camera")
	clip := through(t, sequenceFile(t, p.user), "clip.wav", "-af", "volume=-5dB")
	p.open("Line-up")
	p.WaitFor("Then the tone: space", soundtest.CameraName)
	p.Keys("s")
	p.WaitFor("Headphones off?") // nothing sounds unasked
	p.Keys("Enter")
	p.WaitFor("SENDING", "ladder")
	p.Keys("s")
	p.WaitFor("Sequence     not sent")
	p.Keys("f")
	p.WaitFor("Path of the camera's clip")
	p.Instead(clip)
	p.WaitFor("Frequency response")
	p.WaitFor("−5.0 dB")
	eventually(t, "the profile on disk", func() bool {
		return strings.Contains(p.run("camera", "show", "b camera").out, "reads output −5.0 dB")
	})
}
