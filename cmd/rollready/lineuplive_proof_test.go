//go:build proof && linux

package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// The whole way: the sequence is sent to a virtual sound card, recorded at
// its far end and read back. A busy machine may lose sound on the way, which
// the program must notice and refuse; then it is tried again.
func TestProofLineupOverASoundCard(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	for try := 1; ; try++ {
		r := sendAndRead(t, u, server)
		if r.code == 0 {
			l := parseLineup(t, r.out)
			require.InDelta(t, 0, *l.Offset, 0.05)
			require.Nil(t, l.Clip)
			require.False(t, l.Automatic.On)
			require.Equal(t, "stereo", l.Wiring)
			require.InDelta(t, 0, l.Clock, 5)
			return
		}
		t.Logf("try %d: %s", try, r.err)
		require.Contains(t, r.err, "sound is missing", "only lost sound excuses a refusal")
		require.Less(t, try, 10, "sound was lost on every try: %s", r.err)
	}
}

func sendAndRead(t *testing.T, u user, server *soundtest.Server) result {
	t.Helper()
	recorded := make(chan []float32)
	go func() {
		defer close(recorded) // a failed recording ends its goroutine
		recorded <- server.Record(t, soundtest.CameraID+".monitor", 41*time.Second)
	}()
	r := u.run("lineup", "send", "--camera-output", soundtest.CameraName)
	require.Zero(t, r.code, r.err)
	require.Contains(t, r.err, "sent. Stop the camera")
	return u.run("lineup", "read", file(t, <-recorded, stereo48), "--json")
}

// The tone reaches the camera at its level, is stepped, and what the meter
// reads is kept.
func TestProofLineupToneOverASoundCard(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	cmd := u.command("lineup", "tone", "--camera-output", soundtest.CameraName, "--level", "-20", "--camera", "d camera", "--new")
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	said := bufio.NewReader(words)
	until(t, said, "rising over two seconds")
	eventually(t, "−20 dBFS at the camera", func() bool { return near(hears(t, server), -20) })
	fmt.Fprintln(in, "+6")
	until(t, said, "−14 dBFS")
	eventually(t, "−14 dBFS at the camera", func() bool { return near(hears(t, server), -14) })
	fmt.Fprintln(in, "reads -10")
	until(t, said, "offset +4.0 dB")
	fmt.Fprintln(in, "stop")
	rest, _ := io.ReadAll(said)
	require.NoError(t, cmd.Wait())
	require.Contains(t, string(rest), "kept in camera")
	shown := u.ok("camera", "show", "d camera")
	require.Contains(t, shown, "reads output +4.0 dB")
	require.Contains(t, shown, soundtest.CameraName)
}

// hears gives the peak in dBFS at the camera's end over a moment.
func hears(t *testing.T, server *soundtest.Server) float64 {
	peak := 0.0
	for _, x := range server.Record(t, soundtest.CameraID+".monitor", 300*time.Millisecond) {
		peak = max(peak, math.Abs(float64(x)))
	}
	return 20 * math.Log10(peak)
}

func near(level, want float64) bool { return math.Abs(level-want) < 0.1 }

// until reads lines up to one that holds a text.
func until(t *testing.T, r *bufio.Reader, text string) {
	t.Helper()
	for {
		line, err := r.ReadString('\n')
		require.NoError(t, err, "waiting for %q", text)
		if strings.Contains(line, text) {
			return
		}
	}
}
