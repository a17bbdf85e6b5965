//go:build proof && linux

package main

import (
	"math"
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
	e.t.Helper()
	heard := e.server.Record(e.t, sink+".monitor", length)
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
	e.t.Helper()
	e.untilAt(phones, what, ok)
}

// untilAt listens at another output. Where a busy machine made the sound
// server stand still, the headphones are back but muted.
func (e ear) untilAt(sink, what string, ok func(low, high float64) bool) {
	e.t.Helper()
	var low, high float64
	for range 60 {
		if low, high = e.tones(sink, 500*time.Millisecond); ok(low, high) {
			return
		}
		if strings.Contains(e.Screen(), "phones back, MUTED") {
			e.Keys("0")
		}
	}
	require.Fail(e.t, what, "low %.1f dBFS, high %.1f dBFS", low, high)
}

// silent listens until not a sample sounds.
func (e ear) silent(what string) {
	e.t.Helper()
	var loudest float32
	for range 25 {
		loudest = slices.Max(e.server.Record(e.t, phones+".monitor", 500*time.Millisecond))
		if loudest < 1e-6 {
			return
		}
	}
	require.Fail(e.t, what, "a sample of %g", loudest)
}

func around(x, want, within float64) bool { return math.Abs(x-want) <= within }

// TestCompareByEar drives the comparison by keys, with two tones at −26 dBFS
// in the room, and listens at the headphones. A Butterworth high-pass of the
// fourth order lowers a tone an octave under its cutoff by
// 10 log10(1 + 2⁸) = 24.1 dB (textbook formula) and leaves one three octaves
// above it.
func TestProofCompareByEar(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.AddSink(t, phones, "Head Phones", stereo48)
	e := ear{openScreen(newListener(t), 100, 30), server}
	low, high := server.Tone(t, lowHz, 0.05), server.Tone(t, highHz, 0.05)
	e.start("--input", "Field", "--headphones", "Head", "--camera-output", "Camera", "--preset", "flat")
	e.WaitFor("phones MUTED at −30 dB")
	e.silent("starts muted")
	e.Keys("0")
	e.until("fades in at −30 dB", func(low, high float64) bool { return around(low, -56, 1) && around(high, -56, 1) })
	e.Keys(".", ".", ".", ".", ".")
	e.WaitFor("phones −20 dB")
	e.until("10 dB louder", func(low, high float64) bool { return around(low, -46, 1) && around(high, -46, 1) })

	e.open("Compare")
	e.Keys("b", "h", "Enter")
	e.Line("400/24")
	e.WaitFor("400 Hz 24 dB/oct", "equal loudness")
	e.Keys("e")
	e.WaitFor("loudness as set")
	e.until("B lowers the low tone by 24.1 dB", func(low, high float64) bool { return around(low, -70.1, 1) && around(high, -46, 1) })
	e.untilAt(soundtest.CameraID, "the camera gets the output, whatever is heard",
		func(low, high float64) bool { return around(low, -26, 1) && around(high, -26, 1) })
	e.Keys("a")
	e.until("A leaves it", func(low, high float64) bool { return around(low, -46, 1) && around(high, -46, 1) })

	time.Sleep(3 * time.Second) // that the phrase has something to remember
	e.Keys("c")
	e.WaitFor("phrase ")
	low.Stop()
	high.Stop()
	e.Keys("b")
	e.until("the phrase goes on without the room", func(low, high float64) bool { return around(high, -46, 2) && low < -60 })
	e.Keys("h", "Enter")
	e.Line("off")
	e.until("turned while it loops", func(low, high float64) bool { return around(low, -46, 2) && around(high, -46, 2) })
	e.Keys("p")
	e.silent("live again: the room is quiet")
	e.Keys("p")
	e.until("and the phrase", func(_, high float64) bool { return around(high, -46, 2) })
	e.Keys("0")
	e.silent("muted")

	e.Keys("k")
	e.Instead("quay at noon")
	e.WaitFor("Kept quay at noon, now in use")
	e.quit()
	store, err := presets.Open(e.config)
	require.NoError(t, err)
	kept, err := store.Settings()
	require.NoError(t, err)
	require.Equal(t, "quay at noon", kept.Preset)
	require.False(t, kept.EqualLoudness)
	e.start()
	e.WaitFor("phones MUTED at −30 dB")
	e.silent("the next start is muted and low again")
	e.quit()
}

// TestBlindTrialOnTheScreen by keys and by mouse, on the demo scene.
func TestProofBlindTrialOnTheScreen(t *testing.T) {
	soundtest.Start(t, stereo48)
	s := openScreen(newListener(t), 100, 30)
	s.start("--input", "demo", "--headphones", "Camera")
	s.Keys("Enter", "0")
	s.open("Compare")
	s.WaitFor("phones −30 dB", "chain in use", "capture phrase")
	s.Keys("b", "]", "x")
	s.Instead("3")
	s.WaitFor("Round 1 of 3")
	s.Keys("a", "b", "x", "Left")
	s.WaitFor("Round 2 of 3")
	s.Press("X is B")
	s.WaitFor("Round 3 of 3")
	s.Keys("Right")
	s.WaitFor("of 3 right. Guessing does as well")
	s.Keys("p")
	s.WaitFor("No phrase yet")
	s.Press("output")
	s.Press("capture phrase")
	s.WaitFor("phrase ")
	s.quit()
}

// TestHowlOnTheScreen plays into the very room the microphone hears, with more
// gain than the way round loses: it is muted, and the screen says why.
func TestProofHowlOnTheScreen(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	s := openScreen(newListener(t), 100, 30)
	s.start("--input", "Field", "--headphones", "Room", "--preset", "flat", "--gain", "6")
	s.WaitFor("phones MUTED")
	server.Tone(t, 1000, 0.0005) // something to begin with
	s.Keys("0")
	for range 15 {
		s.Keys(".")
	}
	s.Until("muted for its howl", func(now string) bool {
		if strings.Contains(now, "phones back, MUTED") {
			s.Keys("0")
			time.Sleep(300 * time.Millisecond)
		}
		return strings.Contains(now, "Muted: ")
	})
	s.Until("heard again", func(now string) bool {
		if strings.Contains(now, "Muted: ") { // muted again at once while the room still rings
			s.Keys("0")
			time.Sleep(300 * time.Millisecond)
		}
		return strings.Contains(now, "phones −30 dB")
	})
	s.quit()
}

// TestHeadphonesLostAndBack: another output is chosen in Setup; the server
// dies and comes back; the sound comes back muted.
func TestProofHeadphonesLostAndBack(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	e := ear{openScreen(newListener(t), 100, 30), server}
	e.start("--input", "demo")
	e.open("Setup")
	e.Keys("Down", "Down")
	e.WaitFor("▸ Headphones")
	e.Keys("Enter")
	e.WaitFor("Camera In")
	e.Keys("Down", "Down", "Enter")
	e.WaitFor("muted and low")
	e.Keys("0")
	e.WaitFor("phones −30 dB")
	server.Kill()
	e.WaitFor("HEADPHONES LOST")
	server.Boot(t)
	e.WaitFor("phones back, MUTED")
	e.quit()
}
