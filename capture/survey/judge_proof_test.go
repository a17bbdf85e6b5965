//go:build proof

package survey

import "testing"

func TestProofCleanSpeechHasNoFindings(t *testing.T) {
	cleanSpeech(t, speakers, withPauses, withoutPauses)
}

func TestProofFaultsAreFound(t *testing.T) { faultsAreFound(t, speakers[0]) }

func TestProofSoundWithoutAVoice(t *testing.T) {
	withoutAVoice(t, []float64{20, 500, 20000}, []float64{0.5, 4})
}

func TestProofABuzzIsNoBreak(t *testing.T) { noBuzzIsABreak(t, voices[:6]) }
