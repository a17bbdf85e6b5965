//go:build proof && linux

package output

import (
	"testing"

	"rollready/capture/soundtest"
)

// TestProofPipeWire holds takes and the delay of an output over PipeWire to
// what they are.
func TestProofPipeWire(t *testing.T) {
	soundtest.OverPipeWire(t)
	t.Run("process", TestProcessEqualsLiveCapture)
	t.Run("delay", TestProofDelayRoundTheLoop)
}
