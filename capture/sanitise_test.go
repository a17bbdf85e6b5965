package capture

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSanitise(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, bad := range []float32{nan, inf, -inf} {
		for length := range 12 {
			for at := range length {
				block := make([]float32, length)
				for i := range block {
					block[i] = []float32{-1, math.MaxFloat32, -math.SmallestNonzeroFloat32}[i%3]
				}
				want := append([]float32{}, block...)
				require.Zero(t, Sanitise(block))
				require.Equal(t, want, block)
				block[at], want[at] = bad, 0
				require.EqualValues(t, 1, Sanitise(block))
				require.Equal(t, want, block)
			}
		}
	}
	require.EqualValues(t, 3, Sanitise([]float32{nan, inf, 0.5, -inf}))
}

func BenchmarkSanitise(b *testing.B) {
	block := make([]float32, 8192)
	b.SetBytes(int64(4 * len(block)))
	for b.Loop() {
		Sanitise(block)
	}
}
