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
	"rollready/capture/recording"
	"rollready/capture/rig/session"
	"rollready/capture/soundtest"
	"rollready/capture/wavfile"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

var studio = capture.Format{RateHz: rateHz, Channels: 2}

func onMic(t *testing.T, set strips.Settings) (*device.System, *session.Session) {
	t.Helper()
	sys := device.NewSystem(nil)
	t.Cleanup(sys.Close)
	s, err := session.Open(session.Options{Open: sys.Input(soundtest.MicName, "", false).Open, Strips: set, View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	eventually(t, "frames", func() bool { return s.Reading().Frames > 0 })
	return sys, s
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

// What was captured live and what process makes of the captured input are the
// same, sample for sample.
func TestProcessEqualsLiveCapture(t *testing.T) {
	linked := strips.Of(chain.Settings{GainDB: 9, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 12000, Slope: 12},
		Limit: chain.Limit{On: true, CeilingDBTP: -12}})
	t.Run("linked", func(t *testing.T) { processEqualsLive(t, linked) })
	apart := linked
	apart.Unlinked = true
	apart.Strips[1] = strips.Strip{Chain: chain.Settings{GainDB: 4, HighPass: filter.Cut{Hz: 140, Slope: 12}}, Inverted: true}
	t.Run("a strip each", func(t *testing.T) { processEqualsLive(t, apart) })
}

func processEqualsLive(t *testing.T, set strips.Settings) {
	server := soundtest.Start(t, studio)
	_, s := onMic(t, set)
	tap := s.AddTap(session.BothFrames, 10)
	defer s.RemoveTap(tap)
	// A second of silence goes first, so that the tap is there before the voice.
	voice := make([]float32, 2*3*rateHz)
	for i := range voice[2*rateHz:] {
		at := float64(i/2) / rateHz
		voice[2*rateHz+i] = float32(0.3 * math.Sin(2*math.Pi*(150+100*at)*at) * math.Abs(math.Sin(3*at)) * float64(1-i%2*2))
	}
	server.Samples(t, soundtest.RoomID, voice)
	in, out := tapped(t, tap, 5*rateHz)
	require.Greater(t, peak(in), 0.25)
	require.Less(t, peak(out), 0.2512, "limited")
	require.Zero(t, peak(in[:2*480]), "begun in silence")

	dir := t.TempDir()
	w, err := wavfile.Create(filepath.Join(dir, "in.wav"), studio, wavfile.Float32)
	require.NoError(t, err)
	require.NoError(t, w.Write(in))
	require.NoError(t, w.Close())
	r, err := recording.Open(t.Context(), filepath.Join(dir, "in.wav"))
	require.NoError(t, err)
	defer r.Close()
	run, err := offline.NewProcess(r, set)
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
