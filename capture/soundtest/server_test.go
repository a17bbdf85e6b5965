//go:build unix

package soundtest

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

// The rig itself: what is played to the room is heard by the microphone, bit
// for bit in level, and by nobody once it is gone.
func TestMicrophoneHearsTheRoom(t *testing.T) {
	s := Start(t, capture.Format{RateHz: 48000, Channels: 2})
	s.Tone(t, 1000, 0.1)
	hears := func(id string) func() bool {
		return func() bool {
			return math.Abs(float64(rms(s.Record(t, id, 100*time.Millisecond)))-0.1/math.Sqrt2) < 1e-4
		}
	}
	require.Eventually(t, hears(MicID), time.Minute, 10*time.Millisecond)
	s.RemoveMic(t)
	s.ReturnMic(t)
	s.AddMic(t, "second_mic", "Second Mic")
	s.AddSink(t, "headphones", "Head Phones", capture.Format{RateHz: 44100, Channels: 2})
	require.Eventually(t, hears("second_mic"), time.Minute, 10*time.Millisecond)
	require.Zero(t, rms(s.Record(t, "headphones.monitor", 50*time.Millisecond)))
}

func rms(samples []float32) float64 {
	var sum float64
	for _, x := range samples {
		sum += float64(x) * float64(x)
	}
	return math.Sqrt(sum / float64(len(samples)))
}
