//go:build proof

package survey

import (
	"os"
	"strconv"
	"strings"
	"testing"
)

// kept tells which scenes of a table run: all, or one in EVERY.
func kept(scene int) bool {
	every, _ := strconv.Atoi(os.Getenv("EVERY"))
	return every < 2 || scene%every == 0
}

// The full table: every kind with every voice. KIND=word picks kinds.
func TestProofGradedScenes(t *testing.T) {
	grades, names := map[string]*grade{}, []string{}
	for _, k := range append(faultless, faults...) {
		if !strings.Contains(k.name, os.Getenv("KIND")) {
			continue
		}
		names = append(names, k.name)
		g := &grade{}
		grades[k.name] = g
		n := len(voices)
		if k.whisper {
			n = len(whisperers)
		}
		for v := range n {
			for round := range k.rounds {
				if kept(v + round) {
					g.mark(t, k.scene(t, v, round))
				}
			}
		}
	}
	table(t, names, grades)
}
