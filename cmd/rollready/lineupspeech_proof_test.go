//go:build proof

package main

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/capture/wavfile"
	"rollready/dsp/lineup"
)

// Speech from a general-purpose synthesiser through a camera made of ffmpeg's
// filters: after line-up its peak must be known beforehand.
func TestProofPredictedPeakOfSpeech(t *testing.T) {
	soundtest.Need(t, "ffmpeg", "espeak-ng")
	u := newUser(t)
	spoken := filepath.Join(t.TempDir(), "spoken.wav")
	said, err := exec.Command("espeak-ng", "-w", spoken, "We begin at the harbour wall, where the boats come in before sunrise.").CombinedOutput()
	require.NoError(t, err, "%s", said)
	voice := through(t, spoken, "voice.wav", "-af", "aresample=48000,volume=-3dB", "-ac", "2", "-c:a", "pcm_f32le")
	sent := sequenceFile(t, u)
	for _, camera := range []string{"volume=-5dB", "highpass=f=90,volume=-8dB", "volume=-4dB,lowpass=f=14000,highpass=f=60,highpass=f=60"} {
		record := func(in string) string {
			return through(t, in, "clip.wav", "-af", camera+",aresample=44100", "-c:a", "pcm_s16le")
		}
		var result lineup.Result
		require.NoError(t, json.Unmarshal([]byte(u.ok("lineup", "read", "--json", record(sent))), &result))
		predictor := result.NewPredictor(48000, 2)
		eachBlock(t, voice, predictor.Process)
		peak := 0.0
		eachBlock(t, record(voice), func(block []float32) {
			for _, x := range block {
				peak = max(peak, math.Abs(float64(x)))
			}
		})
		require.InDelta(t, 20*math.Log10(peak), predictor.PeakDBFS(), 0.5, camera)
	}
}

func eachBlock(t *testing.T, path string, do func([]float32)) {
	t.Helper()
	r, err := wavfile.Open(path)
	require.NoError(t, err)
	defer r.Close()
	block := make([]float32, 4096*r.Format().Channels)
	for {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
		do(block[:n*r.Format().Channels])
	}
}
