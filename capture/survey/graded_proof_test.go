//go:build proof

package survey

import (
	"os"
	"strings"
	"testing"
)

// The full table: every kind with every voice. KIND=word picks kinds.
func TestProofGradedScenes(t *testing.T) {
	grades, names := map[string]*grade{}, []string{}
	for _, k := range faults {
		if !strings.Contains(k.name, os.Getenv("KIND")) {
			continue
		}
		names = append(names, k.name)
		g := &grade{}
		grades[k.name] = g
		for v := range voices {
			for round := range k.rounds {
				g.mark(t, k.scene(t, v, round))
			}
		}
	}
	table(t, names, grades)
}
