//go:build linux

package output

import (
	"context"
	"errors"
	"io"
	"math"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/offline"
	"rollready/capture/rig/session"
	"rollready/capture/soundtest"
	"rollready/capture/wavfile"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/lipsync"
)

var studio = capture.Format{RateHz: rateHz, Channels: 2}

func onMic(t *testing.T, set chain.Settings) (*device.System, *session.Session) {
	t.Helper()
	sys := device.NewSystem(nil)
	t.Cleanup(sys.Close)
	s, err := session.Open(session.Options{Open: sys.Input(soundtest.MicName, "").Open, Chain: set, View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	eventually(t, "frames", func() bool { return s.Reading().Frames > 0 })
	return sys, s
}

// outputTo opens an output at a rate and says it runs at another: a clock
// that is off.
func outputTo(sys *device.System, name string, realHz, saidHz int) Opener {
	return func() (Device, string, error) {
		o, err := sys.OpenOutput(name, realHz, 2)
		if err != nil {
			return nil, "", err
		}
		return skewed{o, saidHz}, o.Info().Name, nil
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

// tapped reads frames of a tap until it has so many.
func tapped(t *testing.T, tap *session.Tap, frames int) (in, out []float32) {
	t.Helper()
	in, out = make([]float32, 2*frames), make([]float32, 2*frames)
	got := 0
	eventuallyWithin(t, time.Minute, func() bool {
		n := min(tap.Input.Len(), tap.Output.Len(), frames-got)
		tap.Input.Read(in[2*got : 2*(got+n)])
		tap.Output.Read(out[2*got : 2*(got+n)])
		got += n
		return got == frames
	})
	return in, out
}

func eventuallyWithin(t *testing.T, limit time.Duration, met func() bool) {
	t.Helper()
	require.Eventually(t, met, limit, 5*time.Millisecond)
}

// The way out plays into the very room the microphone hears: a click comes
// round again, and on the input's own clock the distance to its echo is the
// whole delay, sound system included. A busy machine may make the sound server
// stumble, which the way out must count: then it is measured again.
func TestDelayRoundTheLoop(t *testing.T) {
	server := soundtest.Start(t, studio)
	sys, s := onMic(t, chain.Settings{GainDB: -6})
	for range 20 {
		ms, alike, st := roundTheLoop(t, server, sys, s)
		t.Logf("round the loop %.2f ms (correlation %.3f), of which our own %.2f ms, %d dropouts; at 25/s: %s",
			ms, alike, st.DelayMS, st.Dropouts, lipsync.Words(ms, 25))
		if st.Dropouts > 0 {
			continue
		}
		require.Greater(t, alike, 0.9)
		require.Greater(t, ms, st.DelayMS-20, "the sound system can't take time away")
		require.Less(t, ms, 250.0)
		return
	}
	t.Fatal("never without a dropout")
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

// The device's clock runs 1000 ppm faster than we are told: the difference is
// learnt, so the buffer does not run dry every 25 s as it would without. That
// nothing at all breaks off is proven where the time is ours (see
// TestClocksThatDiffer): a sound server on a busy machine stumbles by itself.
func TestDriftOfARealDevice(t *testing.T) {
	if testing.Short() {
		t.Skip("takes up to five minutes of real time")
	}
	const deviceHz = 48048
	server := soundtest.Start(t, studio)
	server.AddSink(t, "skewed", "Skewed", capture.Format{RateHz: deviceHz, Channels: 2})
	server.Tone(t, 1000, 0.1)
	sys, s := onMic(t, chain.Settings{})
	way, err := Open(s, Options{Open: outputTo(sys, "Skewed", deviceHz, rateHz), Source: Output, Camera: true})
	require.NoError(t, err)
	defer way.Close()
	began := time.Now()
	eventuallyWithin(t, 5*time.Minute, func() bool { return way.Status().DriftPPM < -700 })
	t.Logf("after %v: %+v", time.Since(began).Round(time.Second), way.Status())
	heard := server.Record(t, "skewed.monitor", time.Second)
	require.InDelta(t, 0.1, peak(heard), 0.01)
}

// What was captured live and what process makes of the captured input are the
// same, sample for sample.
func TestProcessEqualsLiveCapture(t *testing.T) {
	set := chain.Settings{GainDB: 9, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 12000, Slope: 12},
		Limit: chain.Limit{On: true, CeilingDBTP: -12}}
	server := soundtest.Start(t, studio)
	_, s := onMic(t, set)
	tap := s.AddTap(session.BothFrames, 10)
	defer s.RemoveTap(tap)
	voice := make([]float32, 2*2*rateHz)
	for i := range voice {
		at := float64(i/2) / rateHz
		voice[i] = float32(0.3 * math.Sin(2*math.Pi*(150+100*at)*at) * math.Abs(math.Sin(3*at)) * float64(1-i%2*2))
	}
	server.Samples(t, soundtest.RoomID, voice)
	in, out := tapped(t, tap, 4*rateHz)
	require.Greater(t, peak(in), 0.25)
	require.Less(t, peak(out), 0.2512, "limited")
	require.Zero(t, peak(in[:2*480]), "begun in silence")

	dir := t.TempDir()
	w, err := wavfile.Create(filepath.Join(dir, "in.wav"), studio, wavfile.Float32)
	require.NoError(t, err)
	require.NoError(t, w.Write(in))
	require.NoError(t, w.Close())
	r, err := wavfile.Open(filepath.Join(dir, "in.wav"))
	require.NoError(t, err)
	defer r.Close()
	run, err := offline.NewProcess(r, capture.Auto, set)
	require.NoError(t, err)
	w, err = wavfile.Create(filepath.Join(dir, "out.wav"), studio, wavfile.Float32)
	require.NoError(t, err)
	_, err = run.Run(context.Background(), w, nil)
	require.NoError(t, err)
	require.NoError(t, w.Close())

	got := make([]float32, len(in))
	p, err := wavfile.Open(filepath.Join(dir, "out.wav"))
	require.NoError(t, err)
	defer p.Close()
	if _, err = p.Read(got); !errors.Is(err, io.EOF) {
		require.NoError(t, err)
	}
	delay := 2 * s.Status().LatencyFrames
	require.Positive(t, delay)
	require.True(t, slices.Equal(flushed(out[delay:]), flushed(got[:len(got)-delay])))
}

// flushed takes numbers too small to be normal for zero, as the audio thread
// of the binding does: below −758 dBFS.
func flushed(x []float32) []float32 {
	for i, v := range x {
		if math.Abs(float64(v)) < 0x1p-126 {
			x[i] = 0
		}
	}
	return x
}
