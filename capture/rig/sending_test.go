package rig

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/lineup/sequence"
)

// A mistake on the audio thread silences the output; the device goes on, and
// nothing is allocated as long as all is well.
func TestAPanicInWhatFillsAnOutputIsAFault(t *testing.T) {
	s, block := &sounding{}, make([]float32, 480)
	good := s.guarded(func(block []float32) { block[0]++ })
	require.Zero(t, testing.AllocsPerRun(100, func() { good(block) }))
	require.False(t, s.fault.Raised())
	s.guarded(func([]float32) { panic("asked to") })(block)
	require.Contains(t, s.fault.Text(), "asked to (sending_test.go:")
	calls, was := s.calls.Load(), block[0]
	good(block)
	require.Equal(t, calls+1, s.calls.Load())
	require.Equal(t, was, block[0])
}

func BenchmarkGuarded(b *testing.B) {
	s := &sounding{}
	fill := s.guarded(func([]float32) {})
	b.ReportAllocs()
	for b.Loop() {
		fill(nil)
	}
}

// The sequence comes behind a tone that rises from low and a rest, so that
// nothing is loud at once; it is whole.
func TestSequenceRisesFirst(t *testing.T) {
	s, peaks := newPlayer(48000, 2), []float64{}
	for !s.begun.Load() {
		block := make([]float32, 2*4800)
		s.fill(block)
		peak := 0.0
		for _, x := range block {
			peak = max(peak, math.Abs(float64(x)))
		}
		peaks = append(peaks, 20*math.Log10(peak))
		s.lead()
	}
	require.Less(t, peaks[0], -55.0)
	require.Greater(t, len(peaks), 20)
	for i := 1; i < 20; i++ {
		require.Less(t, peaks[i]-peaks[i-1], 6.5, "no step is loud")
	}
	require.True(t, math.IsInf(peaks[len(peaks)-1], -1), "a rest")
	frames := 0
	for !s.ended.Load() {
		before := s.frame.Load()
		s.fill(make([]float32, 2*4800))
		frames += int(s.frame.Load() - before)
	}
	require.InDelta(t, sequence.Seconds()*48000, frames, 1)
}
