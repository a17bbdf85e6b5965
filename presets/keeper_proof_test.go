//go:build proof

package presets

import "testing"

func TestProofKilledAHundredTimes(t *testing.T) { killedAtAnyMoment(t, 100) }
