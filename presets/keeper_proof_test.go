//go:build proof

package presets

import (
	"flag"
	"testing"
)

var killCount = flag.Int("kills", 40, "how often TestProofKilled kills")

func TestProofKilledAtAnyMoment(t *testing.T) { killedAtAnyMoment(t, *killCount) }
