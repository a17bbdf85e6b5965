//go:build proof

package preroll

import "testing"

// The same with all voices, rates, strengths and pauses.

func TestProofCleanSpeechIsReady(t *testing.T) { TestCleanSpeechIsReady(t) }

func TestProofDrySpeechIsReady(t *testing.T) { TestDrySpeechIsReady(t) }

func TestProofSNR(t *testing.T) { TestSNR(t) }

func TestProofRecommendedGain(t *testing.T) { TestRecommendedGain(t) }

func TestProofHighPassSuitsVoiceAndRoom(t *testing.T) { TestHighPassSuitsVoiceAndRoom(t) }

func TestProofFaultsAreFound(t *testing.T) { TestFaultsAreFound(t) }

func TestProofGuideLeadsToTheResultOfACheck(t *testing.T) { TestGuideLeadsToTheResultOfACheck(t) }

func TestProofPartsAreFound(t *testing.T) { TestPartsAreFound(t) }
