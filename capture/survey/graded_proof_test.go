//go:build proof

package survey

import (
	"os"
	"strconv"
	"strings"
	"testing"
)

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
				if every, _ := strconv.Atoi(os.Getenv("EVERY")); every < 2 || (v+round)%every == 0 {
					g.mark(t, k.scene(t, v, round))
				}
			}
		}
	}
	table(t, names, grades)
}
