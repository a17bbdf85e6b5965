//go:build proof && linux

package device_test

import (
	"testing"

	"rollready/capture/soundtest"
)

// TestProofPipeWire does over PipeWire what is tried over PulseAudio with
// every run: a tone in at three rates, eight channels, a tone out, the list, a
// server that hangs.
func TestProofPipeWire(t *testing.T) {
	soundtest.OverPipeWire(t)
	t.Run("tone", TestToneReadsItsLevel)
	t.Run("channels", TestManyChannelsKeepTheirPlaces)
	t.Run("order", TestBlocksWaitAndGoOnInOrder)
	t.Run("list", TestDevicesAreListedWithWhatTheyAre)
	t.Run("two programs", TestTwoProgramsHearTheSameMicrophone)
	t.Run("output", TestAnOutputPlaysWhatItIsGiven)
	t.Run("hung", TestAHungServerDoesNotHangUs)
}
