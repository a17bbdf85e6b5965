//go:build proof

package survey

import "testing"

// Every kind of scene with six voices.
func TestProofSafetyLayouts(t *testing.T) { gradeLayouts(t, 6) }
