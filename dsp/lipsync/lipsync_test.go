package lipsync

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Frame durations by formula: 25/s 40 ms, 23.976/s 41.708 ms, 29.97/s
// 33.367 ms, 59.94/s 16.683 ms.
func TestFrames(t *testing.T) {
	for i, ms := range []float64{41.708, 41.667, 40, 33.367, 33.333, 20, 16.683, 16.667} {
		require.InDelta(t, 1, Frames(ms, Rates[i]), 5e-5)
	}
}

// Limits of EBU R 37-2007 (−15 ms per stage, −60 ms overall) and ITU-R
// BT.1359-1 (−125 ms detectable, −185 ms acceptable).
func TestJudge(t *testing.T) {
	for ms, want := range map[float64]Verdict{0: WithinStage, 15: WithinStage, 15.1: WithinOverall, 60: WithinOverall,
		61: Unnoticed, 125: Unnoticed, 126: Noticed, 185: Noticed, 186: Unacceptable} {
		require.Equal(t, want, Judge(ms), "%g ms", ms)
	}
}

func TestWords(t *testing.T) {
	require.Equal(t, "sound is late by 32.0 ms, 0.80 pictures at 25/s: over the 15 ms of one production stage, "+
		"within the 60 ms of the whole way (EBU R 37); slip the sound 32.0 ms earlier in the edit", Words(32, 25))
	require.NotContains(t, Words(12, 23.976), "slip")
}
