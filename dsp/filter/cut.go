package filter

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Limits of a cutoff in Hz. The upper one is lowered to 48 % of the sample
// rate where that is less.
const (
	MinHz = 10.0
	MaxHz = 20000.0
)

// Slopes lists the slopes a Cut may have, in dB per octave; 0 is off.
var Slopes = [...]int{0, 6, 12, 18, 24}

// Cut is a high-pass or low-pass setting. The zero Cut is off.
type Cut struct {
	Hz    float64 // cutoff: −3.01 dB
	Slope int     // dB per octave: 0 (off), 6, 12, 18, 24
}

// On tells whether the filter does anything.
func (c Cut) On() bool { return c.Slope > 0 }

// String gives the form ParseCut reads: "80/24" or "off".
func (c Cut) String() string {
	if !c.On() {
		return "off"
	}
	return strconv.FormatFloat(c.Hz, 'f', -1, 64) + "/" + strconv.Itoa(c.Slope)
}

// ParseCut reads "HZ/SLOPE" or "off". The error says what is allowed.
func ParseCut(s string) (Cut, error) {
	if s == "off" {
		return Cut{}, nil
	}
	hzText, slopeText, ok := strings.Cut(s, "/")
	hz, errHz := strconv.ParseFloat(hzText, 64)
	slope, errSlope := strconv.Atoi(slopeText)
	if !ok || errHz != nil || errSlope != nil {
		return Cut{}, fmt.Errorf("filter %q is not HZ/SLOPE: write it like 80/24, or off", s)
	}
	if slope == 0 {
		return Cut{}, nil
	}
	c := Cut{Hz: hz, Slope: slope}
	return c, c.Check()
}

// Check tells whether cutoff and slope are allowed.
func (c Cut) Check() error {
	if c.Slope == 0 {
		return nil
	}
	if c.Slope < 0 || c.Slope > 24 || c.Slope%6 != 0 {
		return fmt.Errorf("slope %d dB per octave: choose 6, 12, 18, 24 or off", c.Slope)
	}
	if math.IsNaN(c.Hz) || c.Hz < MinHz || c.Hz > MaxHz {
		return fmt.Errorf("cutoff %g Hz: choose %g to %g Hz", c.Hz, MinHz, MaxHz)
	}
	return nil
}

// At is the cutoff in Hz at a sample rate, which may not hold the one asked for.
func (c Cut) At(rateHz int) float64 { return min(c.Hz, 0.48*float64(rateHz)) }

// HighPass designs the sections of a Butterworth high-pass; nil when off.
func HighPass(c Cut, rateHz int) []Biquad {
	return design(c, float64(rateHz), HighPassQ, firstHighPass)
}

// LowPass designs the sections of a Butterworth low-pass; nil when off.
func LowPass(c Cut, rateHz int) []Biquad { return design(c, float64(rateHz), LowPassQ, firstLowPass) }

func design(c Cut, rateHz float64, second func(hz, q, rateHz float64) Biquad, first func(hz, rateHz float64) Biquad) []Biquad {
	if !c.On() {
		return nil
	}
	hz := c.At(int(rateHz))
	order := c.Slope / 6
	var sections []Biquad
	if order%2 == 1 {
		sections = append(sections, first(hz, rateHz))
	}
	for k := range order / 2 {
		angle := math.Pi * float64(2*k+1+order%2) / float64(2*order)
		sections = append(sections, second(hz, 1/(2*math.Cos(angle)), rateHz))
	}
	return sections
}

func firstHighPass(hz, rateHz float64) Biquad {
	k := math.Tan(math.Pi * hz / rateHz)
	return Biquad{B0: 1 / (1 + k), B1: -1 / (1 + k), A1: (k - 1) / (k + 1)}
}

func firstLowPass(hz, rateHz float64) Biquad {
	k := math.Tan(math.Pi * hz / rateHz)
	return Biquad{B0: k / (1 + k), B1: k / (1 + k), A1: (k - 1) / (k + 1)}
}

// Words is the cut in a sentence: "80 Hz 24 dB per octave" or "off".
func (c Cut) Words() string {
	if !c.On() {
		return "off"
	}
	return fmt.Sprintf("%g Hz %d dB per octave", c.Hz, c.Slope)
}

// Held tells of a cut, by its name, that a sample rate does not hold as it was
// asked for.
func (c Cut) Held(name string, rateHz int) error {
	if !c.On() || c.At(rateHz) == c.Hz {
		return nil
	}
	return fmt.Errorf("the %s is at %g Hz, not %g Hz: at a sample rate of %d Hz sound ends at %g Hz", name, c.At(rateHz), c.Hz, rateHz, float64(rateHz)/2)
}
