//go:build proof && linux

package main

import (
	"testing"

	"rollready/capture/soundtest"
)

// TestProofPipeWire drives the program over PipeWire: tone, loss and return,
// takes, volumes, the line-up tone to the camera.
func TestProofPipeWire(t *testing.T) {
	soundtest.OverPipeWire(t)
	t.Run("devices", TestDevicesTellTheirVolumes)
	t.Run("watch", TestWatchHearsTheMicrophone)
	t.Run("lost", TestWatchSaysThatTheInputIsLost)
	t.Run("take", TestTakeHoldsWhatTheMicrophoneHeard)
	t.Run("take goes on", TestTakeGoesOnWithoutTheMicrophone)
	t.Run("line-up", TestProofLineupToneOverASoundCard)
	t.Run("volume kept", TestProofLineupToneKeepsTheVolume)
	t.Run("volume on the screen", TestProofScreenWarnsOfAChangedVolume)
}
