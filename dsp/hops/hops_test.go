package hops

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestHopsEndWhereTheyEnd(t *testing.T) {
	x := make([]float32, 2*25)
	for i := range x {
		x[i] = float32(i)
	}
	for _, frames := range []int{1, 3, 10, 11, 25} {
		h, seen, ends := Hops{Channels: 2, Frames: 10}, []float32{}, []int{}
		for at := 0; at < len(x); at += 2 * frames {
			h.Cut(x[at:min(len(x), at+2*frames)], func(p []float32) { seen = append(seen, p...) }, func() { ends = append(ends, len(seen)) })
		}
		require.Equal(t, x, seen)
		require.Equal(t, []int{20, 40}, ends)
		require.True(t, h.Begun())
		h.Reset()
		require.False(t, h.Begun())
	}
}
