//go:build proof && linux

package main

import (
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/soundtest"
	"rollready/presets"
)

// tones plays a tone of its own on each channel, by its peak and its hertz.
func tones(t *testing.T, server *soundtest.Server, of ...[2]float64) {
	at := 0
	server.Play(t, soundtest.RoomID, func(block []float32) int {
		for i := 0; i+len(of) <= len(block); i += len(of) {
			for c, tone := range of {
				block[i+c] = float32(tone[0] * math.Sin(2*math.Pi*tone[1]*float64(at)/48000))
			}
			at++
		}
		return len(block)
	})
}

// heightOf is the peak of a tone in a channel of stereo frames, by its Fourier sum.
func heightOf(frames []float32, channel int, hz float64) float64 {
	var re, im float64
	for i := channel; i < len(frames); i += 2 {
		sin, cos := math.Sincos(2 * math.Pi * hz * float64(i/2) / 48000)
		re, im = re+float64(frames[i])*cos, im+float64(frames[i])*sin
	}
	return 2 * math.Hypot(re, im) / float64(len(frames)/2)
}

// Two microphones of eight: chosen in Setup, named, given a gain each, and
// recorded as tracks that bear the names. Levels by arithmetic.
func TestProofScreenTwoOfEight(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 8})
	tones(t, server, [2]float64{0.5, 300}, [2]float64{0.5, 400}, [2]float64{0.1, 1000}, [2]float64{0.5, 500},
		[2]float64{0.5, 600}, [2]float64{0.05, 2000}, [2]float64{0.5, 700}, [2]float64{0.5, 800})
	p := openCamera(t, "--input", soundtest.MicName)
	p.open("Setup")
	p.Press("Channels")
	p.Keys("Enter")
	p.WaitFor("Channels, like 1, 2+7")
	p.Instead("3+6")
	p.kept("channels 3 and 6", func(s presets.Settings) bool { return s.Channels == "3+6" })
	p.open("Monitor")
	p.Keys("k")
	p.WaitFor("Each microphone has its own controls now")
	for _, name := range []string{"host", "guest"} {
		p.Keys("y")
		p.WaitFor("Who speaks into")
		p.Instead(name)
		p.WaitFor(name)
		p.Keys("n")
	}
	p.Keys("n") // the guest
	p.kept("the guest's strip", func(s presets.Settings) bool { return s.Strip == 1 })
	p.Keys("Enter")
	p.WaitFor("Gain in dB")
	p.Instead("6")
	p.kept("a gain for the guest alone", func(s presets.Settings) bool {
		return s.Strips.Strips[0].Chain.GainDB == 0 && s.Strips.Strips[1].Chain.GainDB == 6 && s.Strips.Strips[0].Name == "host" && s.Strips.Strips[1].Name == "guest"
	})
	p.Keys("C-r")
	p.WaitFor("REC")
	time.Sleep(2 * time.Second)
	p.Keys("C-r", "Enter")
	p.Until("the take on disk", func(string) bool {
		takes := p.listed()
		return len(takes) == 1 && takes[0].Length > 1 && takes[0].Verdict != ""
	})
	p.WaitFor("Recorded")
	p.quit()
	found, err := filepath.Glob(filepath.Join(p.takes, "*.wav"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	y, r := samples(t, found[0])
	names := strings.Join(p.listed()[0].Tracks, ", ")
	require.Contains(t, names, "host")
	require.Contains(t, names, "guest")
	channels := r.Format().Channels
	pair := make([]float32, 0, len(y))
	for i := len(y) - channels*48000; i < len(y)-channels*24000; i += channels { // all is set by then
		pair = append(pair, y[i], y[i+1])
	}
	require.InDelta(t, 0.1, heightOf(pair, 0, 1000), 1e-4)
	require.InDelta(t, 0.05*math.Pow(10, 6.0/20), heightOf(pair, 1, 2000), 1e-4)
	require.Less(t, heightOf(pair, 1, 1000), 1e-5, "nothing of the host")
}

// Where two microphones go in the camera feed, measured at its far end and
// compared with the sums; and one alone in the headphones, which no take begins
// with.
func TestProofScreenWhereStripsGo(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	tones(t, server, [2]float64{0.1, 1000}, [2]float64{0.05, 2000})
	server.AddSink(t, "ears", "Ears", stereo48)
	p := openCamera(t, "--input", soundtest.MicName, "--headphones", "ears", "--channels", "1+2", "--names", "host,guest", "--gain", "0,6", "--limit", "off", "--camera-output", soundtest.CameraID)
	guest, ten := 0.05*math.Pow(10, 6.0/20), math.Pow(10, -10.0/20)
	p.open("Monitor")
	seen := map[string]bool{}
	for range 3 {
		p.Keys("v")
		route := ""
		p.kept("another layout", func(s presets.Settings) bool {
			route = string(s.Strips.Route)
			return route != "" && !seen[route]
		})
		seen[route] = true
		want := map[string][2][2]float64{ // of host and guest, left and right
			"apart":    {{0.1, 0}, {0, guest}},
			"together": {{0.1, 0.1}, {guest, guest}},
			"safety":   {{0.1, 0.1 * ten}, {guest, guest * ten}},
		}[route]
		require.NotZero(t, want, route)
		var heard [2][2]float64
		eventually(t, route+" at the far end", func() bool {
			y := server.Record(t, soundtest.CameraID+".monitor", 500*time.Millisecond)
			ok := true
			for who, hz := range []float64{1000, 2000} {
				for side := range 2 {
					heard[who][side] = heightOf(y, side, hz)
					ok = ok && math.Abs(heard[who][side]-want[who][side]) < 0.02*0.1
				}
			}
			return ok
		})
		t.Logf("%s: host %.4f %.4f, guest %.4f %.4f", route, heard[0][0], heard[0][1], heard[1][0], heard[1][1])
	}
	p.Keys("u")
	p.WaitFor("In the headphones: host alone")
	p.Keys("C-r")
	p.WaitFor("REC")
	p.Until("all are heard", func(s string) bool { return !strings.Contains(s, "alone") })
	p.Keys("u")
	p.WaitFor("In the headphones: host alone") // not left on: the key would have said all again
	p.Keys("C-r", "Enter")
	p.WaitFor("Recorded")
	p.quit()
}
