//go:build linux

package main

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/presets"
)

// ear listens at the headphones.
type ear struct {
	*screen
	server *soundtest.Server
}

const phones = "phones"

// tones gives the levels in dBFS, after AES17, of a low and a high tone as an
// output plays them.
func (e ear) tones(sink string, length time.Duration) (low, high float64) {
	e.Helper()
	heard := e.server.Record(e.T, sink+".monitor", length)
	return toneDBFS(heard, lowHz), toneDBFS(heard, highHz)
}

const lowHz, highHz = 200.0, 2000.0

// toneDBFS correlates over stretches of 50 ms, whole periods of both tones,
// and gives the median: while the clocks are brought together the phase slips.
func toneDBFS(stereo []float32, hz float64) float64 {
	const stretch = 2400
	var found []float64
	for ; len(stereo) >= 2*stretch; stereo = stereo[2*stretch:] {
		var re, im float64
		for i := range stretch {
			sin, cos := math.Sincos(2 * math.Pi * hz * float64(i) / 48000)
			re, im = re+cos*float64(stereo[2*i]), im+sin*float64(stereo[2*i])
		}
		found = append(found, 20*math.Log10(2*math.Hypot(re, im)/stretch))
	}
	slices.Sort(found)
	return found[len(found)/2]
}

// until listens until the tones are as wanted: fades take their time.
func (e ear) until(what string, ok func(low, high float64) bool) {
	e.Helper()
	e.untilAt(phones, what, ok)
}

// untilAt listens at another output.
func (e ear) untilAt(sink, what string, ok func(low, high float64) bool) {
	e.Helper()
	var low, high float64
	for range 25 {
		if low, high = e.tones(sink, 500*time.Millisecond); ok(low, high) {
			return
		}
	}
	require.Fail(e, what, "low %.1f dBFS, high %.1f dBFS", low, high)
}

// silent listens until not a sample sounds.
func (e ear) silent(what string) {
	e.Helper()
	var loudest float32
	for range 25 {
		loudest = slices.Max(e.server.Record(e.T, phones+".monitor", 500*time.Millisecond))
		if loudest < 1e-6 {
			return
		}
	}
	require.Fail(e, what, "a sample of %g", loudest)
}

// serverEnv is the environment in which the running server is found.
func serverEnv() string {
	return "XDG_RUNTIME_DIR=" + os.Getenv("XDG_RUNTIME_DIR") + " PULSE_SERVER=" + os.Getenv("PULSE_SERVER")
}

func around(x, want, within float64) bool { return math.Abs(x-want) <= within }

// TestCompareByEar drives the comparison by keys, with two tones at −26 dBFS
// in the room, and listens at the headphones. A Butterworth high-pass of the
// fourth order lowers a tone an octave under its cutoff by
// 10 log10(1 + 2⁸) = 24.1 dB (textbook formula) and leaves one three octaves
// above it.
func TestCompareByEar(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.AddSink(t, phones, "Head Phones", stereo48)
	e := ear{openScreen(t), server}
	low, high := server.Tone(t, lowHz, 0.05), server.Tone(t, highHz, 0.05)
	env := serverEnv()
	e.run(env, "--input", "Field", "--output", "Head", "--camera-output", "Camera", "--preset", "flat")
	e.waitFor("phones MUTED at −30 dB")
	e.silent("starts muted")
	e.keys("0")
	e.until("fades in at −30 dB", func(low, high float64) bool { return around(low, -56, 1) && around(high, -56, 1) })
	e.keys(".", ".", ".", ".", ".")
	e.waitFor("phones −20 dB")
	e.until("10 dB louder", func(low, high float64) bool { return around(low, -46, 1) && around(high, -46, 1) })

	e.open("Compare")
	e.keys("b", "h", "Enter")
	e.say("400/24")
	e.waitFor("400 Hz 24 dB/oct", "equal loudness")
	e.keys("e")
	e.waitFor("loudness as set")
	e.until("B lowers the low tone by 24.1 dB", func(low, high float64) bool { return around(low, -70.1, 1) && around(high, -46, 1) })
	e.untilAt(soundtest.CameraID, "the camera gets the output, whatever is heard",
		func(low, high float64) bool { return around(low, -26, 1) && around(high, -26, 1) })
	e.keys("a")
	e.until("A leaves it", func(low, high float64) bool { return around(low, -46, 1) && around(high, -46, 1) })

	time.Sleep(3 * time.Second) // that the phrase has something to remember
	e.keys("c")
	e.waitFor("phrase ")
	low.Stop()
	high.Stop()
	e.keys("b")
	e.until("the phrase goes on without the room", func(low, high float64) bool { return around(high, -46, 2) && low < -60 })
	e.keys("h", "Enter")
	e.say("off")
	e.until("turned while it loops", func(low, high float64) bool { return around(low, -46, 2) && around(high, -46, 2) })
	e.keys("p")
	e.silent("live again: the room is quiet")
	e.keys("p")
	e.until("and the phrase", func(_, high float64) bool { return around(high, -46, 2) })
	e.keys("0")
	e.silent("muted")

	e.keys("k", "C-u")
	e.say("quay at noon")
	e.waitFor("Kept quay at noon, now in use")
	e.keys("q")
	e.waitFor("ready>")
	store, err := presets.Open(e.config)
	require.NoError(t, err)
	kept, err := store.Settings()
	require.NoError(t, err)
	require.Equal(t, "quay at noon", kept.Preset)
	require.False(t, kept.EqualLoudness)
	e.run(env)
	e.waitFor("phones MUTED at −30 dB")
	e.silent("the next start is muted and low again")
	e.keys("q")
	e.waitFor("ready>")
}

// TestBlindTrialOnTheScreen by keys and by mouse, on the demo scene.
func TestBlindTrialOnTheScreen(t *testing.T) {
	soundtest.Start(t, stereo48)
	s := openScreen(t)
	s.run(serverEnv(), "--input", "demo", "--output", "Camera")
	s.keys("Enter", "0")
	s.open("Compare")
	s.waitFor("phones −30 dB", "chain in use", "capture phrase")
	s.keys("b", "]", "x", "C-u")
	s.say("3")
	s.waitFor("Round 1 of 3")
	s.keys("a", "b", "x", "Left")
	s.waitFor("Round 2 of 3")
	s.press("X is B")
	s.waitFor("Round 3 of 3")
	s.keys("Right")
	s.waitFor("of 3 right. Guessing does as well")
	s.keys("p")
	s.waitFor("No phrase yet")
	s.press("output")
	s.press("capture phrase")
	s.waitFor("phrase ")
	s.keys("q")
	s.waitFor("ready>")
}

// TestHowlOnTheScreen plays into the very room the microphone hears, with more
// gain than the way round loses: it is muted, and the screen says why.
func TestHowlOnTheScreen(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	s := openScreen(t)
	s.run(serverEnv(), "--input", "Field", "--output", "Room", "--preset", "flat", "--gain", "6")
	s.waitFor("phones MUTED")
	server.Tone(t, 1000, 0.0005) // something to begin with
	s.keys("0")
	for range 15 {
		s.keys(".")
	}
	s.waitFor("MUTED: ", "Speaker down")
	require.Eventually(t, func() bool { // pressed at once, it is muted again: the room still rings
		now := s.tmux("capture-pane", "-p")
		if strings.Contains(now, "MUTED: ") {
			s.keys("0")
		}
		return strings.Contains(now, "phones −30 dB")
	}, screenPatience, 300*time.Millisecond)
	s.keys("q")
	s.waitFor("ready>")
}

// TestHeadphonesLostAndBack: another output is chosen in Setup; the server
// dies and comes back; the sound comes back muted.
func TestHeadphonesLostAndBack(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	e := ear{openScreen(t), server}
	e.run(serverEnv(), "--input", "demo")
	e.open("Setup")
	e.keys("Down", "Down")
	e.waitFor("▸ Headphones")
	e.keys("Enter")
	e.waitFor("Camera In")
	e.keys("Down", "Down", "Enter")
	e.waitFor("muted and low")
	e.keys("0")
	e.waitFor("phones −30 dB")
	server.Kill()
	e.waitFor("HEADPHONES LOST")
	server.Boot(t)
	e.waitFor("phones MUTED at −30 dB")
	e.keys("q")
	e.waitFor("ready>")
}
