// Package camera says what the camera's own meter will read.
package camera

import (
	"cmp"
	"fmt"
	"math"
	"rollready/dsp/db"
	"rollready/dsp/figure"
	"slices"
	"strings"
)

// Scale places our output on a camera's meter. All figures but OffsetDB are
// on the camera's scale.
type Scale struct {
	OffsetDB       float64 // camera reading = output level + OffsetDB
	ClipDBFS       float64 // where the camera clips; 0 unless line-up found it lower
	TargetLowDBFS  float64 // target window of speech peaks
	TargetHighDBFS float64
}

// Default is a camera that was never lined up: offset 0 dB, clip point
// 0 dBFS, target window −12…−6 dBFS (common practice, no source).
var Default = Scale{TargetLowDBFS: -12, TargetHighDBFS: -6}

// Zone says where a peak sits at the camera.
type Zone string

// The zones: under the target window, in it, above it, and within OverDB of
// the clip point or past it.
const (
	Low    Zone = "low"
	Target Zone = "target"
	Hot    Zone = "hot"
	Over   Zone = "over"

	Unjudged Zone = "" // nobody has spoken long enough to place the voice
)

var zones = [...]Zone{Unjudged, Low, Target, Hot, Over}

// Higher gives the higher of two zones.
func Higher(a, b Zone) Zone {
	if slices.Index(zones[:], b) > slices.Index(zones[:], a) {
		return b
	}
	return a
}

// OverDB is how close to the clip point a peak counts as Over.
const OverDB = 1.0

// Reads gives the camera's reading in dBFS for an output level in dBFS.
func (s Scale) Reads(outputDBFS float64) float64 { return outputDBFS + s.OffsetDB }

// Headroom gives the dB between a peak on the camera's scale and the
// camera's clip point; negative once past it, +Inf in silence.
func (s Scale) Headroom(cameraDBFS float64) float64 { return s.ClipDBFS - cameraDBFS }

// Ceiling gives the output level in dBTP that lies so many dB under the
// camera's clip point: a limiter set to it keeps the camera from clipping.
func (s Scale) Ceiling(underClipDB float64) float64 {
	return s.ClipDBFS - underClipDB - s.OffsetDB
}

// Zone places a peak given on the camera's scale.
func (s Scale) Zone(cameraDBFS float64) Zone {
	switch {
	case s.Headroom(cameraDBFS) <= OverDB:
		return Over
	case cameraDBFS > s.TargetHighDBFS:
		return Hot
	case cameraDBFS >= s.TargetLowDBFS:
		return Target
	default:
		return Low
	}
}

// Middle is the middle of the target window in dBFS on the camera's scale.
func (s Scale) Middle() float64 { return (s.TargetLowDBFS + s.TargetHighDBFS) / 2 }

// Valid tells whether all figures are finite and the window is the right way round.
func (s Scale) Valid() bool {
	sum := s.OffsetDB + s.ClipDBFS + s.TargetLowDBFS + s.TargetHighDBFS
	return !math.IsNaN(sum) && !math.IsInf(sum, 0) && s.TargetLowDBFS < s.TargetHighDBFS
}

// ParseLevel reads a level on a camera's meter, which ends at 0 dBFS.
func ParseLevel(text string) (float64, error) {
	x, err := db.Parse(text)
	if err == nil && x > 0 {
		return 0, fmt.Errorf("%g dBFS lies above the end of a camera's meter: write it with its minus, like -%g", x, x)
	}
	return x, err
}

// ParseWindow reads two levels on a camera's meter, LOW..HIGH.
func ParseWindow(text string) (lowDBFS, highDBFS float64, err error) {
	low, high, ok := strings.Cut(text, "..")
	if !ok {
		return 0, 0, fmt.Errorf("%q is no window: write it like -12..-6", text)
	}
	lowDBFS, errLow := ParseLevel(low)
	highDBFS, errHigh := ParseLevel(high)
	return lowDBFS, highDBFS, cmp.Or(errLow, errHigh)
}

// Words is the scale in a sentence.
func (s Scale) Words() string {
	return figure.Sprintf("reads output %+.1f dB, clips at %.1f dBFS, target %.1f to %.1f dBFS", s.OffsetDB, s.ClipDBFS, s.TargetLowDBFS, s.TargetHighDBFS)
}
