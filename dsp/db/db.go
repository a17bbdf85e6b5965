// Package db converts between linear quantities and decibels.
//
// Amplitude 1.0 is digital full scale. Levels follow AES17: a full-scale sine
// reads 0 dBFS both as a peak and as an rms level, so rms levels are the
// decibel value of the root mean square plus 3.01 dB.
package db

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// SineRMS is what AES17 adds to the decibel value of a mean square so that a
// full-scale sine reads 0 dBFS: 10·lg 2 dB.
const SineRMS = 3.010299956639812

// FromAmplitude gives 20·lg|a| in dB; −Inf for 0.
func FromAmplitude(a float64) float64 { return 20 * math.Log10(math.Abs(a)) }

// ToAmplitude gives the linear factor of a level or gain in dB.
func ToAmplitude(level float64) float64 { return math.Pow(10, level/20) }

// FromPower gives 10·lg p in dB for a power or mean square p ≥ 0; −Inf for 0.
func FromPower(p float64) float64 { return 10 * math.Log10(p) }

// ToPower gives the linear power of a level in dB.
func ToPower(level float64) float64 { return math.Pow(10, level/10) }

// RMS gives the AES17 rms level in dBFS of a mean square.
func RMS(meanSquare float64) float64 { return FromPower(meanSquare) + SineRMS }

// Parse reads a number of decibels with or without its unit, as a person types
// it: "-6", "+4,5 dB", "−1 dBTP".
func Parse(text string) (float64, error) {
	number := strings.NewReplacer("−", "-", ",", ".").Replace(strings.TrimSpace(text))
	for _, unit := range []string{"dBTP", "dBFS", "dB"} {
		number = strings.TrimSpace(strings.TrimSuffix(number, unit))
	}
	x, err := strconv.ParseFloat(number, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%q is no number of decibels: write it like -6 or 4.5", text)
	}
	return x, nil
}
