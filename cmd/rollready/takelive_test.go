//go:build linux

package main

import (
	"bufio"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/capture/take"
	"rollready/dsp/figure"
)

// What the virtual microphone heard is in the file, sample by sample. A busy
// machine may make the sound server skip: then it is played again.
func TestTakeHoldsWhatTheMicrophoneHeard(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	played := make([]float32, 2*12*48000)
	random := rand.New(rand.NewPCG(5, 6))
	for i := range played {
		played[i] = float32(random.IntN(1<<15)-1<<14) / (1 << 16)
	}
	for range 25 {
		player := server.Samples(t, soundtest.RoomID, played)
		r := u.run("take", "record", "--input", soundtest.MicName, "--takes", t.TempDir(), "--seconds", "1", "--json")
		player.Stop()
		require.Zero(t, r.code, r.err)
		got := objects[take.Listed](t, r.out)[0]
		require.Equal(t, figure.Figure(1), got.Length)
		frames, channels := readAllFrames(t, got.Path)
		require.Equal(t, 4, channels)
		same := longestRun(played, frames)
		t.Logf("%d of %d frames in one piece", same, len(frames)/4)
		if same == len(frames)/4 {
			return
		}
	}
	t.Fatal("never heard in one piece")
}

// longestRun finds the raw input tracks, the third and fourth, in what was
// played, and gives how many frames from there on are equal to half a step of
// 24 bits, in the processed tracks too.
func longestRun(played, frames []float32) (longest int) {
	const half = 0.5001 / (1 << 23)
	same := func(p, f int) bool {
		for c := range 2 {
			heard := float64(played[2*p+c])
			if math.Abs(heard-float64(frames[4*f+2+c])) > half || math.Abs(heard-float64(frames[4*f+c])) > half {
				return false
			}
		}
		return true
	}
	for p := range len(played) / 2 {
		n := 0
		for p+n < len(played)/2 && n < len(frames)/4 && same(p+n, n) {
			n++
		}
		longest = max(longest, n)
	}
	return longest
}

// The microphone is pulled and plugged in again while a take rolls: the take
// goes on, with silence and two markers.
func TestTakeGoesOnWithoutTheMicrophone(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	server.Tone(t, 1000, 0.1)
	dir := t.TempDir()
	cmd := u.command("take", "record", "--input", soundtest.MicName, "--takes", dir, "--json")
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(words)
	require.True(t, lines.Scan())
	require.Contains(t, lines.Text(), "REC 1 take 1")
	server.RemoveMic(t)
	require.True(t, lines.Scan())
	require.Contains(t, lines.Text(), "ALARM input-lost")
	server.ReturnMic(t)
	go func() { _, _ = io.Copy(io.Discard, words) }() // must not hold the program up
	eventually(t, "the sheet tells that the input is back, and a second of sound behind it", func() bool {
		rolling, err := take.Load(filepath.Join(dir, "1_001.wav"))
		return err == nil && len(rolling.Markers) >= 2 && rolling.Frames > rolling.Markers[1].Frame+48000
	})
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	text, err := io.ReadAll(out)
	require.NoError(t, err)
	require.NoError(t, cmd.Wait())
	got := objects[take.Listed](t, string(text))[0]
	require.Positive(t, got.Lost)
	require.Equal(t, "listen", got.Verdict)
	require.GreaterOrEqual(t, len(got.Markers), 2)
	require.Equal(t, "input lost", got.Markers[0].Text)
	require.Equal(t, "input back", got.Markers[1].Text)
	require.InDelta(t, float64(got.Lost)/48000, float64(got.Markers[1].At-got.Markers[0].At), 0.01)
}
