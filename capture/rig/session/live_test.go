//go:build linux

package session_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/rig/session"
	"rollready/capture/soundtest"
	"rollready/dsp"
)

var studio = capture.Format{RateHz: 48000, Channels: 2}

// onMic runs a session on the server's microphone.
func onMic(t *testing.T, sys *device.System) *session.Session {
	t.Helper()
	s, err := session.Open(session.Options{Open: sys.Input(soundtest.MicName, "", false).Open, View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s
}

func system(t *testing.T) *device.System {
	sys := device.NewSystem(nil)
	t.Cleanup(sys.Close)
	return sys
}

const patience = time.Minute

// waitFor gives how long a condition took; it fails the test where it never
// comes.
func waitFor(t *testing.T, what string, met func() bool) (took time.Duration) {
	t.Helper()
	for began := time.Now(); !met(); time.Sleep(2 * time.Millisecond) {
		if took = time.Since(began); took > patience {
			t.Fatalf("%s: not within %v", what, patience)
		}
	}
	return took
}

func TestMicrophoneComesAndGoes(t *testing.T) { comesAndGoes(t, 3) }

// comesAndGoes pulls the microphone and plugs it in again, so many times in a
// row: it is lost, back, and metering the tone each time. How long that took
// is told: on a machine that has time, one second and two at most.
func comesAndGoes(t *testing.T, rounds int) {
	server := soundtest.Start(t, studio)
	server.Tone(t, 1000, 0.1)
	s := onMic(t, system(t))
	toneIsThere := func() bool {
		l := s.Reading().Input[0].RMSDBFS
		return l > -20.1 && l < -19.9
	}
	waitFor(t, "the tone", toneIsThere)
	threads := threadCount(t)
	var lost, back []time.Duration
	for i := range rounds {
		before := s.Status().Returns
		server.RemoveMic(t)
		lost = append(lost, waitFor(t, "INPUT LOST", func() bool { return s.Status().Lost }))
		frames := s.Reading().Frames
		server.ReturnMic(t)
		back = append(back, waitFor(t, "the return", func() bool { return !s.Status().Lost && s.Reading().Frames > frames }))
		waitFor(t, "the tone again", func() bool { return s.Reading().Frames > frames+24000 && toneIsThere() })
		require.GreaterOrEqual(t, s.Status().Returns, before+1, "round %d", i)
	}
	t.Logf("lost after %v at most (median %v), back after %v at most (median %v)", slices.Max(lost), median(lost), slices.Max(back), median(back))
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
	s, err := session.Open(session.Options{Open: system(t).Input("", "", false).Open, Pick: "8", View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	waitFor(t, "the tone", func() bool { return math.Abs(s.Reading().Input[0].RMSDBFS+20) < 0.1 })
	require.Equal(t, 8, s.Status().Channels)
	require.Equal(t, 1, s.Reading().Channels)
	server.RemoveMic(t)
	lost := waitFor(t, "INPUT LOST", func() bool { return s.Status().Lost })
	server.ReturnMic(t)
	back := waitFor(t, "the return", func() bool { return !s.Status().Lost })
	t.Logf("lost after %v, back after %v", lost, back)
	require.NoError(t, s.SetPick("7"))
	waitFor(t, "silence on channel 7", func() bool { return s.Reading().Input[0].RMSDBFS < -100 })
}

// What the sound system turns before we hear it is told, at the device and at
// our own recording, and no longer once it is set back.
func TestTheSystemsVolumeIsTold(t *testing.T) {
	for _, channels := range []int{2, 8} { // they take other ways
		server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: channels})
		s, err := session.Open(session.Options{Open: system(t).Input("", "", false).Open, View: dsp.DefaultView()})
		require.NoError(t, err)
		t.Cleanup(s.Close)
		waitFor(t, "frames", func() bool { return s.Reading().Frames > 0 })
		recording := recordingIndex(t, server)
		for _, turn := range []struct {
			do   []string
			want string
		}{
			{[]string{"set-source-volume", soundtest.MicID, "+6dB"}, "The system turns this input up by 6.0 dB: set it to 0 dB there"},
			{[]string{"set-source-volume", soundtest.MicID, "0dB"}, ""},
			{[]string{"set-source-output-volume", recording, "-12dB"}, "The system turns this input down by 12.0 dB: set it to 0 dB there"},
			{[]string{"set-source-output-volume", recording, "0dB"}, ""},
			{[]string{"set-source-mute", soundtest.MicID, "1"}, "The system mutes this input: unmute it there"},
			{[]string{"set-source-mute", soundtest.MicID, "0"}, ""},
		} {
			server.Pactl(t, turn.do...)
			waitFor(t, strings.Join(turn.do, " "), func() bool { return s.Status().Notice == turn.want })
		}
		s.Close()
	}
}

// recordingIndex is the server's number of this process's own recording.
func recordingIndex(t *testing.T, server *soundtest.Server) string {
	t.Helper()
	for _, entry := range strings.Split(server.Pactl(t, "list", "source-outputs"), "\n\n") {
		if strings.Contains(entry, fmt.Sprintf("application.process.id = \"%d\"", os.Getpid())) {
			return regexp.MustCompile(`Source Output #(\d+)`).FindStringSubmatch(entry)[1]
		}
	}
	require.Fail(t, "no recording of ours")
	return ""
}

// The sound server crashes and is started again.
func TestASoundServerThatCrashesIsFoundAgain(t *testing.T) {
	server := soundtest.Start(t, studio)
	s := onMic(t, system(t))
	waitFor(t, "frames", func() bool { return s.Reading().Frames > 0 })
	server.Kill()
	lost := waitFor(t, "INPUT LOST", func() bool { return s.Status().Lost })
	server.Boot(t)
	server.Tone(t, 1000, 0.1)
	back := waitFor(t, "the return", func() bool { return !s.Status().Lost })
	t.Logf("lost after %v, back after %v", lost, back)
	waitFor(t, "the tone", func() bool { return math.Abs(s.Reading().Input[0].RMSDBFS+20) < 0.1 })
}

// While the chosen microphone is away no other one takes its place.
func TestALostMicrophoneIsNotReplaced(t *testing.T) {
	server := soundtest.Start(t, studio)
	server.AddMic(t, "lid_mic", "Lid Mic")
	s := onMic(t, system(t))
	waitFor(t, "frames", func() bool { return s.Reading().Frames > 0 })
	server.RemoveMic(t)
	waitFor(t, "INPUT LOST", func() bool { return s.Status().Lost })
	waitFor(t, "two seconds", func() bool { return s.Status().LostFor > 2*time.Second })
	require.Equal(t, soundtest.MicName, s.Status().Source)
	require.NoError(t, s.Switch(system(t).Input("lid", "", false).Open, capture.Auto), "unless the user wants it")
	waitFor(t, "the other one", func() bool { return s.Status().Source == "Lid Mic" && !s.Status().Lost })
}

// Without any sound system the demo stands in, and says so.
func TestWithoutASoundSystemTheDemoStandsIn(t *testing.T) {
	soundtest.NoServer(t)
	scene := newTick()
	s, err := session.Open(session.Options{Open: system(t).Input("id:pulseaudio:field_mic", soundtest.MicName, false).Open,
		Fallback: func() (capture.Source, error) { return scene, nil }, View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	waitFor(t, "the scene", func() bool { return s.Reading().Frames > 0 })
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
