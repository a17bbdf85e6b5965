//go:build proof && unix

package survey

import "testing"

func TestProofLoudnessAndTruePeakEqualTheReferenceLibrary(t *testing.T) {
	equalTheLibrary(t, 15, 44100, 48000, 96000)
}
