//go:build linux

package session_test

import (
	"math"
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
	sys := device.NewSystem(nil)
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
			return !s.Status().Lost && s.Reading().Frames > frames
		}))
		waitFor(t, "the tone again", 5*time.Second, func() bool { return s.Reading().Frames > frames+24000 && toneIsThere() })
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

// An interface with eight channels: channel 8 is heard alone, and again after
// it was away. Its frames take another way than those of two channels.
func TestAChannelOfManyComesBack(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 8})
	frame := 0
	server.Play(t, soundtest.RoomID, func(block []float32) int {
		for i := 7; i < len(block); i += 8 {
			block[i] = float32(0.1 * math.Sin(2*math.Pi*1000*float64(frame+i/8)/48000))
		}
		frame += len(block) / 8
		return len(block)
	})
	s, err := session.Open(session.Options{Open: system(t).Input("", "").Open, Pick: "8", View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	waitFor(t, "the tone", 10*time.Second, func() bool { return math.Abs(s.Reading().Input[0].RMSDBFS+20) < 0.1 })
	require.Equal(t, 8, s.Status().Channels)
	require.Equal(t, 1, s.Reading().Channels)
	server.RemoveMic(t)
	lost := waitFor(t, "INPUT LOST", 5*time.Second, func() bool { return s.Status().Lost })
	server.ReturnMic(t)
	back := waitFor(t, "the return", 5*time.Second, func() bool { return !s.Status().Lost })
	t.Logf("lost after %v, back after %v", lost, back)
	require.NoError(t, s.SetPick("7"))
	waitFor(t, "silence on channel 7", 10*time.Second, func() bool { return s.Reading().Input[0].RMSDBFS < -100 })
}

// The sound server crashes and is started again.
func TestASoundServerThatCrashesIsFoundAgain(t *testing.T) {
	server := soundtest.Start(t, studio)
	s := onMic(t, system(t))
	waitFor(t, "frames", 10*time.Second, func() bool { return s.Reading().Frames > 0 })
	server.Kill()
	lost := waitFor(t, "INPUT LOST", 5*time.Second, func() bool { return s.Status().Lost })
	server.Boot(t)
	server.Tone(t, 1000, 0.1)
	back := waitFor(t, "the return", 10*time.Second, func() bool { return !s.Status().Lost })
	t.Logf("lost after %v, back after %v", lost, back)
	waitFor(t, "the tone", 10*time.Second, func() bool { return math.Abs(s.Reading().Input[0].RMSDBFS+20) < 0.1 })
}

// While the chosen microphone is away no other one takes its place.
func TestALostMicrophoneIsNotReplaced(t *testing.T) {
	server := soundtest.Start(t, studio)
	server.AddMic(t, "lid_mic", "Lid Mic")
	s := onMic(t, system(t))
	waitFor(t, "frames", 10*time.Second, func() bool { return s.Reading().Frames > 0 })
	server.RemoveMic(t)
	waitFor(t, "INPUT LOST", 5*time.Second, func() bool { return s.Status().Lost })
	waitFor(t, "two seconds", 5*time.Second, func() bool { return s.Status().LostFor > 2*time.Second })
	require.Equal(t, soundtest.MicName, s.Status().Source)
	require.NoError(t, s.Switch(system(t).Input("lid", "").Open, capture.Auto), "unless the user wants it")
	waitFor(t, "the other one", 5*time.Second, func() bool { return s.Status().Source == "Lid Mic" && !s.Status().Lost })
}

// Without any sound system the demo stands in, and says so.
func TestWithoutASoundSystemTheDemoStandsIn(t *testing.T) {
	soundtest.NoServer(t)
	scene := newTick()
	s, err := session.Open(session.Options{Open: system(t).Input("id:pulseaudio:field_mic", soundtest.MicName).Open,
		Fallback: func() (capture.Source, error) { return scene, nil }, View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	waitFor(t, "the scene", 10*time.Second, func() bool { return s.Reading().Frames > 0 })
	require.Equal(t, capture.Demo, s.Status().Kind)
	require.Contains(t, s.Status().Notice, "No usable input: the sound system pulseaudio is not running.")
	t.Log(s.Status().Notice)
}

// tick is a paced source of silence.
type tick struct{ quit, done chan struct{} }

func newTick() *tick { return &tick{quit: make(chan struct{}), done: make(chan struct{})} }

func (s *tick) Name() string           { return "demo scene" }
func (s *tick) Kind() capture.Kind     { return capture.Demo }
func (s *tick) Format() capture.Format { return studio }
func (s *tick) Done() <-chan struct{}  { return s.done }
func (s *tick) Close() error           { close(s.quit); return nil }

func (s *tick) Start(deliver func([]float32)) error {
	go func() {
		for {
			select {
			case <-s.quit:
				return
			case <-time.After(10 * time.Millisecond):
				deliver(make([]float32, 960))
			}
		}
	}()
	return nil
}
