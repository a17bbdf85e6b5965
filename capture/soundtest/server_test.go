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
	require.Eventually(t, func() bool {
		heard := s.Record(t, MicID, 100*time.Millisecond)
		return math.Abs(float64(rms(heard))-0.1/math.Sqrt2) < 1e-4
	}, 5*time.Second, 10*time.Millisecond)
	s.RemoveMic(t)
	s.ReturnMic(t)
	s.AddMic(t, "second_mic", "Second Mic")
	s.AddSink(t, "headphones", "Head Phones", capture.Format{RateHz: 44100, Channels: 2})
	require.InDelta(t, 0.1/math.Sqrt2, rms(s.Record(t, "second_mic", 100*time.Millisecond)), 1e-3)
	require.Zero(t, rms(s.Record(t, "headphones.monitor", 50*time.Millisecond)))
}

func rms(samples []float32) float64 {
	var sum float64
	for _, x := range samples {
		sum += float64(x) * float64(x)
	}
	return math.Sqrt(sum / float64(len(samples)))
}
