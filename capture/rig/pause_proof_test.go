//go:build proof && linux

package rig

import (
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/recording"
	"rollready/capture/rescue"
	"rollready/capture/soundtest"
	"rollready/capture/take"
	"rollready/presets"
)

// Somebody speaks into a microphone, then the room goes on without them: the
// take ends by itself, and holds at least the seconds that were set after the
// last word.
func TestProofATakeEndsAfterTheLastWord(t *testing.T) {
	const rate, set, louder = 22050, presets.MinStopSilenceS, 0.05
	speech, err := recording.Open(t.Context(), "../../testdata/signals/speech_22k.wav")
	require.NoError(t, err)
	defer speech.Close()
	require.Equal(t, capture.Format{RateHz: rate, Channels: 1}, speech.Format())
	voice := make([]float32, speech.Frames())
	_, _ = speech.Read(voice)
	server := soundtest.Start(t, capture.Format{RateHz: rate, Channels: 2})
	store, err := presets.Open(filepath.Join(t.TempDir(), "config"))
	require.NoError(t, err)
	s := presets.DefaultSettings()
	s.Recording.Dir, s.StopSilenceS = t.TempDir(), set
	var last rescue.Rescue
	system := device.NewSystem(last.Go)
	defer system.Close()
	r, err := Open(t.Context(), Options{System: system, Rescue: &last, Store: store, Kept: s, Settings: s, Camera: presets.NewCamera("b camera"),
		Input: Input{Choice: soundtest.MicName}, Warn: func(error) {}})
	require.NoError(t, err)
	defer r.Close()
	random, said := rand.New(rand.NewPCG(4, 4)), 0
	server.Play(t, soundtest.RoomID, func(block []float32) int {
		for i := range block {
			block[i] = float32(random.NormFloat64() * 0.001)
			if at := said + i/2; at < 2*len(voice) {
				block[i] += voice[at%len(voice)] / 2
			}
		}
		said += len(block) / 2
		return len(block)
	})
	rolled, err := r.Roll(take.What{Scene: "12A"})
	require.NoError(t, err)
	require.Eventually(t, func() bool { return !r.State().Rec.Rolling }, 3*time.Minute, 50*time.Millisecond)
	require.Empty(t, r.State().Failure)
	file, err := recording.Open(t.Context(), rolled.Path)
	require.NoError(t, err)
	defer file.Close()
	f, word := file.Format(), 0
	all := make([]float32, int(file.Frames())*f.Channels)
	n, _ := file.Read(all)
	for i := range n {
		if v := all[i*f.Channels]; v > louder || v < -louder {
			word = i
		}
	}
	tail := float64(n-word) / float64(f.RateHz)
	t.Logf("take of %.1f s, the last word %.1f s before its end", float64(n)/float64(f.RateHz), tail)
	require.Greater(t, float64(word)/float64(f.RateHz), 1.9*float64(len(voice))/rate-1, "no sentence is cut off")
	require.GreaterOrEqual(t, tail, float64(set))
	require.Less(t, tail, float64(set)+3)
}
