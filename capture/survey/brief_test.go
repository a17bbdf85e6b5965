package survey

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A few of the graded scenes; all of them are a proof.
func TestGradedScenesInBrief(t *testing.T) {
	brief := []string{"clean", "clean, pink room", "clipped at -0.3 dBFS", "one channel dead 50 ms", "repeated blocks", "intermittent cable", "radio buzz"}
	for _, k := range append(faultless, faults...) {
		if !slices.Contains(brief, k.name) {
			continue
		}
		g := &grade{}
		g.mark(t, k.scene(t, 2, 0))
		require.Empty(t, g.notes, k.name)
	}
}
