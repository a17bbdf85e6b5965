package dsp

import "rollready/dsp/camera"

// View says how the meters are to be read. A plain value.
type View struct {
	Camera      camera.Scale
	HoldSeconds float64 // 0: no hold; Inf: until reset
	Ballistics  Ballistics
	BandTap     Tap
	BandChannel BandChannel
	BandTime    TimeWeighting
}

// Ballistics names how the level bar moves.
type Ballistics string

// The ballistics to choose from: digital peak after IEC 60268-18, quasi-peak
// PPM type I and II after IEC 60268-10, VU after IEC 60268-17.
const (
	DigitalPeak Ballistics = "digital-peak"
	PPMTypeI    Ballistics = "ppm-type-1"
	PPMTypeII   Ballistics = "ppm-type-2"
	VU          Ballistics = "vu"
)

// Tap is the place in the chain the bands are taken from.
type Tap string

// The taps.
const (
	TapInput  Tap = "input"
	TapOutput Tap = "output"
)

// BandChannel chooses what the bands are computed from: channel 0, 1, or the
// mean of all (Sum).
type BandChannel int

// Sum is the mean of all channels, as a mono camera would hear them.
const Sum BandChannel = -1

// TimeWeighting is F (125 ms) or S (1 s) after IEC 61672-1.
type TimeWeighting string

// The time weightings.
const (
	Fast TimeWeighting = "fast"
	Slow TimeWeighting = "slow"
)

// DefaultView is what a first start shows.
func DefaultView() View {
	return View{Camera: camera.Default, HoldSeconds: 2, Ballistics: DigitalPeak,
		BandTap: TapOutput, BandChannel: Sum, BandTime: Fast}
}
