package dsp

import (
	"math"

	"rollready/dsp/camera"
	"rollready/dsp/hearing"
	"rollready/dsp/spill"
	"rollready/dsp/strips"
)

// MaxChannels is the most channels that a Reading carries: one for each strip.
const MaxChannels = strips.Max

// BandCount is the number of one-third-octave bands, 16 Hz … 20 kHz.
const BandCount = 32

// Reading is everything the live meters show at one moment. A plain value:
// copy it freely. Channels beyond Channels are meaningless; those of the camera
// beyond Fed.
type Reading struct {
	Frames   int64 // frames metered since the start
	RateHz   int
	Channels int // strips
	Fed      int // channels of the camera feed: as many, or 2 where strips are sent there otherwise

	Input, Output [MaxChannels]Level       // of each strip
	Camera        [2]CameraLevel           // of the camera feed
	Zones         [MaxChannels]camera.Zone // where each strip's voice sits on the camera's scale, at full level
	Overs         [MaxChannels]int64       // times each strip alone, at full level, came close to the camera's clip point
	Bands         [BandCount]Band
	BandsUsable   int // bands below this index exist at this sample rate
	Loudness      Loudness
	Heard         hearing.Heard // what the last seconds sounded like
	Between       spill.Result  // the first two strips, while people are compared
}

// Level is what is shown of one channel at the input or the output.
type Level struct {
	PeakDBFS     float64 // bar: the chosen ballistics
	HoldDBFS     float64 // highest sample peak within the hold time
	TruePeakDBTP float64 // true peak, falling like the bar
	MaxDBTP      float64 // highest true peak since the last reset
	RMSDBFS      float64
	ClippedRuns  int64 // runs of ≥ 3 successive frames at full scale since the last reset
	FlatTops     int64 // recurring flat tops below full scale since the last reset: clipped upstream
	SoftTops     bool  // of the input: the loudest waves of late are bent over
}

// CameraLevel is one output channel on the camera's scale.
type CameraLevel struct {
	PeakDBFS        float64
	HoldDBFS        float64
	HeadroomDB      float64     // from the present true peak to the camera's clip point
	LeastHeadroomDB float64     // the least since the last reset
	Overs           int64       // times the peaks came within camera.OverDB of the clip point, since the last reset
	Zone            camera.Zone // of the voice as it is judged
}

// Band is one one-third-octave band of the chosen channel.
type Band struct {
	LevelDBFS float64
	HoldDBFS  float64
}

// Loudness is that of the output, all channels together, in LUFS.
type Loudness struct {
	MomentaryLUFS  float64
	ShortTermLUFS  float64
	IntegratedLUFS float64 // gated, since the last reset
}

// Of gives the reading of one strip, from 0, as if it were all there is.
func (r *Reading) Of(strip int) Reading {
	one := *r
	one.Channels, one.Fed = 1, 1
	one.Input[0], one.Output[0], one.Zones[0], one.Heard = r.Input[strip], r.Output[strip], r.Zones[strip], r.Heard.Of(strip)
	one.Camera[0] = CameraLevel{Overs: r.Overs[strip], Zone: r.Zones[strip], LeastHeadroomDB: math.Inf(1)} // what others add is not the strip's
	return one
}
