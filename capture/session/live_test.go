//go:build linux

package session_test

import (
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/session"
	"rollready/capture/soundtest"
	"rollready/dsp"
)

var studio = capture.Format{RateHz: 48000, Channels: 2}

// onMic runs a session on the server's microphone.
func onMic(t *testing.T, sys *device.System) *session.Session {
	t.Helper()
	s, err := session.Open(session.Options{Open: sys.Input(soundtest.MicName, "").Open, View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s
}

func system(t *testing.T) *device.System {
	sys := device.NewSystem()
	t.Cleanup(sys.Close)
	return sys
}

// waitFor gives how long a condition took; it fails the test after limit.
func waitFor(t *testing.T, what string, limit time.Duration, met func() bool) time.Duration {
	t.Helper()
	began := time.Now()
	for !met() {
		if time.Since(began) > limit {
			t.Fatalf("%s: not within %v", what, limit)
		}
		time.Sleep(2 * time.Millisecond)
	}
	return time.Since(began)
}

// The microphone is pulled and plugged in again, twenty times in a row: lost
// within one second, back within two, and metering the tone each time.
func TestMicrophoneComesAndGoesTwentyTimes(t *testing.T) {
	server := soundtest.Start(t, studio)
	server.Tone(t, 1000, 0.1)
	s := onMic(t, system(t))
	toneIsThere := func() bool {
		l := s.Reading().Input[0].RMSDBFS
		return l > -20.1 && l < -19.9
	}
	waitFor(t, "the tone", 10*time.Second, toneIsThere)
	threads := threadCount(t)
	var lost, back []time.Duration
	for i := range 20 {
		before := s.Status().Returns
		server.RemoveMic(t)
		lost = append(lost, waitFor(t, "INPUT LOST", 5*time.Second, func() bool { return s.Status().Lost }))
		frames := s.Reading().Frames
		server.ReturnMic(t)
		back = append(back, waitFor(t, "the return", 10*time.Second, func() bool {
			return !s.Status().Lost && s.Reading().Frames > frames+2400 && toneIsThere()
		}))
		require.Equal(t, before+1, s.Status().Returns, "round %d", i)
	}
	t.Logf("lost after %v at most (median %v), back after %v at most (median %v)", slices.Max(lost), median(lost), slices.Max(back), median(back))
	require.Less(t, slices.Max(lost), time.Second)
	require.Less(t, slices.Max(back), 2*time.Second)
	require.Empty(t, s.Status().Notice)
	require.Less(t, threadCount(t), threads+10, "abandoned devices must not pile up")
}

func threadCount(t *testing.T) int {
	tasks, err := os.ReadDir("/proc/self/task")
	require.NoError(t, err)
	return len(tasks)
}

func median(of []time.Duration) time.Duration {
	sorted := slices.Sorted(slices.Values(of))
	return sorted[len(sorted)/2]
}
