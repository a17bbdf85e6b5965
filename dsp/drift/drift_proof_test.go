//go:build proof

package drift_test

import "testing"

// An hour: what grows slowly would show.
func TestProofAnHourBetweenTwoClocks(t *testing.T) { betweenTwoClocks(t, 3600, 0, 0.003) }
