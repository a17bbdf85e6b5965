//go:build proof

package survey

import (
	"os"
	"testing"
)

// Every kind of scene with six voices.
func TestProofSafetyLayouts(t *testing.T) {
	voices := 6
	if os.Getenv("EVERY") != "" {
		voices = 2
	}
	gradeLayouts(t, 1, voices)
}
