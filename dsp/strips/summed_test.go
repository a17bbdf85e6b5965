package strips

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is summed is what the bank sends to the camera.
func TestSummedIsTheCameraFeed(t *testing.T) {
	x := []float32{0.1, -0.2, 0.3, 0.4, -0.5, 0.25}
	for _, route := range []Layout{Together, Apart, Safety, "left", "right,both", "none,left"} {
		set := Settings{Route: route, Unlinked: true}
		set.Strips[1].Inverted = true
		sum := set.Fit(2).Summed()
		if route == Apart {
			require.Nil(t, sum)
			continue
		}
		bank := NewBank(48000, 2)
		bank.Set(set)
		fed := make([]float32, 2*48000) // past the ramps
		for at := 0; at < len(fed); at += len(x) {
			n := min(len(x), len(fed)-at)
			bank.Process(Block{Raw: make([]float32, n), Strips: append([]float32{}, x[:n]...), Camera: fed[at : at+n]})
		}
		require.InDeltaSlice(t, sum(x), fed[len(fed)-len(x):], 1e-6, route)
	}
	linked := Settings{Route: Together}
	require.Nil(t, linked.Fit(1).Summed())
}
