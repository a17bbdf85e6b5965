//go:build proof && linux

package output

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/rig/session"
	"rollready/capture/soundtest"
	"rollready/dsp/chain"
	"rollready/dsp/lipsync"
	"rollready/dsp/strips"
	"rollready/presets"
)

func TestProofClocksThatDiffer(t *testing.T) {
	clocksThatDiffer(t, 10, 0.004, 20, 200)
	clocksThatDiffer(t, 10, 0, 60, 40)
	clocksThatDiffer(t, 3, 0.0005, 150, 1000)
}

// outputTo opens an output at a rate and says it runs at another: a clock
// that is off.
func outputTo(sys *device.System, name string, realHz, saidHz int) Opener {
	return func() (Device, presets.Output, error) {
		o, err := sys.OpenOutput(name, realHz, 2)
		if err != nil {
			return nil, presets.Output{}, err
		}
		return skewed{o, saidHz}, o.Info().Output(), nil
	}
}

type skewed struct {
	*device.Output
	saidHz int
}

func (s skewed) Format() capture.Format {
	f := s.Output.Format()
	f.RateHz = s.saidHz
	return f
}

// The way out plays into the very room the microphone hears: a click comes
// round again, and on the input's own clock the distance to its echo is the
// whole delay, sound system included. A busy machine makes the sound server
// stumble, which costs time or frames: then it is measured again, and what it
// lost of the microphone without a word can't sway the middle of five.
func TestProofDelayRoundTheLoop(t *testing.T) {
	server := soundtest.Start(t, studio)
	sys, s := onMic(t, strips.Of(chain.Settings{GainDB: -6}))
	var added []float64 // by the sound system, ms
	for round := 0; len(added) < 5; round++ {
		require.Less(t, round, 100, "never five times whole and under 250 ms")
		ms, alike, st := roundTheLoop(t, server, sys, s)
		t.Logf("round the loop %.2f ms (correlation %.3f), of which our own %.2f ms, %d dropouts; at 25/s: %s",
			ms, alike, st.DelayMS, st.Dropouts, lipsync.Words(ms, 25))
		if st.Dropouts == 0 && alike >= 0.9 && ms <= 250 {
			added = append(added, ms-st.DelayMS)
		}
	}
	slices.Sort(added)
	require.Greater(t, added[2], -20.0, "the sound system can't take time away: %.1f", added)
}

func roundTheLoop(t *testing.T, server *soundtest.Server, sys *device.System, s *session.Session) (ms, alike float64, st Status) {
	t.Helper()
	way, err := Open(s, Options{Open: outputTo(sys, "Room", rateHz, rateHz), Source: Output, Camera: true})
	require.NoError(t, err)
	defer way.Close()
	eventuallyWithin(t, time.Minute, func() bool { return way.Status().DelayMS > 0 })
	click := make([]float32, 2*rateHz/2)
	for i := range 2 * 240 {
		click[i] = float32(0.5 * math.Sin(float64(i/2*i/2)/40)) // a chirp, which correlates sharply
	}
	tap := s.AddTap(session.BothFrames, 10)
	defer s.RemoveTap(tap)
	server.Samples(t, soundtest.RoomID, click)
	in, _ := tapped(t, tap, 3*rateHz)
	lag, alike := echo(in)
	return 1000 * float64(lag) / rateHz, alike, way.Status()
}

// echo cross-correlates the click with what follows it and gives the lag in
// frames of the best match, and how well it matches, 0…1.
func echo(stereo []float32) (lag int, alike float64) {
	var x []float64
	start := -1
	for i := 0; i < len(stereo); i += 2 {
		x = append(x, float64(stereo[i]))
		if start < 0 && math.Abs(x[len(x)-1]) > 0.01 {
			start = len(x) - 1
		}
	}
	if start < 0 {
		return 0, 0
	}
	click := x[start : start+240]
	for at := 300; start+at+240 <= min(len(x), start+rateHz); at++ {
		var dot, aa, bb float64
		for i, c := range click {
			y := x[start+at+i]
			dot, aa, bb = dot+c*y, aa+c*c, bb+y*y
		}
		if like := dot / math.Sqrt(aa*bb+1e-12); like > alike+1e-6 {
			lag, alike = at, like
		}
	}
	return lag, alike
}

// The device's clock runs 1000 ppm faster than we are told, of which the sound
// server's whole blocks leave −400 to −750 (measured): the difference is
// learnt, so the buffer does not run dry every minute as it would without. That
// nothing at all breaks off is proven where the time is ours (see
// TestClocksThatDiffer): a sound server on a busy machine stumbles by itself.
func TestProofDriftOfARealDevice(t *testing.T) {
	const deviceHz = 48048
	server := soundtest.Start(t, studio)
	server.AddSink(t, "skewed", "Skewed", capture.Format{RateHz: deviceHz, Channels: 2})
	server.Tone(t, 1000, 0.1)
	sys, s := onMic(t, strips.Settings{})
	way, err := Open(s, Options{Open: outputTo(sys, "Skewed", deviceHz, rateHz), Source: Output, Camera: true})
	require.NoError(t, err)
	defer way.Close()
	began := time.Now()
	eventuallyWithin(t, 15*time.Minute, func() bool { return way.Status().DriftPPM < -300 })
	t.Logf("after %v: %+v", time.Since(began).Round(time.Second), way.Status())
	eventuallyWithin(t, 5*time.Minute, func() bool {
		return math.Abs(peak(server.Record(t, "skewed.monitor", time.Second))-0.1) < 0.01
	})
}
