//go:build proof

package lineup_test

import "testing"

func TestProofRandomCameras(t *testing.T) { randomCameras(t, 204) }

func TestProofPredictedPeak(t *testing.T) { predictedPeak(t, 32) }

func TestProofNoiseFloor(t *testing.T) { noiseFloor(t, 44100, 96000) }

func TestProofResponse(t *testing.T) { response(t, 48000, 96000) }

func TestProofTimesOfAutomaticLevel(t *testing.T) {
	timesOfAutomaticLevel(t, [2]float64{0.02, 0.5}, [2]float64{0.4, 4})
}

func TestProofEverySampleRate(t *testing.T) { sampleRates(t, 22050, 32000, 88200, 192000) }

func TestProofPolarityThroughASteepLowCut(t *testing.T) { polarityThrough(t, 60, 150) }
