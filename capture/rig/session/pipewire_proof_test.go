//go:build proof && linux

package session_test

import (
	"testing"

	"rollready/capture/soundtest"
)

// TestProofPipeWire loses microphone and server over PipeWire, and has them
// back.
func TestProofPipeWire(t *testing.T) {
	soundtest.OverPipeWire(t)
	t.Run("microphone", TestMicrophoneComesAndGoes)
	t.Run("channel of many", TestAChannelOfManyComesBack)
	t.Run("volume", TestTheSystemsVolumeIsTold)
	t.Run("server", TestASoundServerThatCrashesIsFoundAgain)
	t.Run("none in its place", TestALostMicrophoneIsNotReplaced)
}
