//go:build proof

package match

import (
	"testing"

	"rollready/dsp/filter"
)

func TestProofTwoRecordingsOfASoundAreLinedUp(t *testing.T) {
	linedUp(t, 80, map[string]func(r *device){
		"the same":           func(r *device) {},
		"later":              func(r *device) { r.fromS, r.seconds = 17.12345, 70 },
		"earlier":            func(r *device) { r.fromS, r.seconds = 0.98765, 95 },
		"fast clock":         func(r *device) { r.ppm, r.fromS = 80, 7 },
		"slow clock":         func(r *device) { r.ppm, r.fromS = -120, 2.5 },
		"another rate":       func(r *device) { r.rateHz, r.fromS = 44100, 7.654321 },
		"a higher rate":      func(r *device) { r.rateHz, r.seconds = 96000, 75 },
		"gain and high-pass": func(r *device) { r.gain, r.highPass = 0.02, filter.Cut{Hz: 200, Slope: 24}; r.noise = 1e-5 },
		"inverted":           func(r *device) { r.gain, r.fromS = -0.5, 6 },
		"noisy":              func(r *device) { r.noise, r.fromS = 0.03, 6 },
		"second of two":      func(r *device) { r.of, r.channel, r.fromS = 2, 1, 8 },
	})
}
