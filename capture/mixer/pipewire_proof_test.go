//go:build proof && linux

package mixer_test

import (
	"testing"

	"rollready/capture/soundtest"
)

// TestProofPipeWire holds the volumes told to those that PipeWire turns by,
// as measured.
func TestProofPipeWire(t *testing.T) {
	soundtest.OverPipeWire(t)
	t.Run("told", TestVolumesAreThosePactlPrints)
	t.Run("mute", TestMuteIsTold)
	t.Run("tone", TestToneFallsByTheVolumeTold)
	t.Run("streams", TestStreamsAreToldApart)
	t.Run("hung", TestVolumeIsUnknownWhileTheServerHangs)
}
