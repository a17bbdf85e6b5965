package rig

import (
	"testing"

	"github.com/stretchr/testify/require"
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
