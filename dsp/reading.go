package dsp

import (
	"rollready/dsp/camera"
	"rollready/dsp/hearing"
)

// MaxChannels is the most channels the chain and a Reading carry.
const MaxChannels = 2

// BandCount is the number of one-third-octave bands, 16 Hz … 20 kHz.
const BandCount = 32

// Reading is everything the live meters show at one moment. A plain value:
// copy it freely. Channels beyond Channels are meaningless.
type Reading struct {
	Frames   int64 // frames metered since the start
	RateHz   int
	Channels int

	Input, Output [MaxChannels]Level
	Camera        [MaxChannels]CameraLevel
	Bands         [BandCount]Band
	BandsUsable   int // bands below this index exist at this sample rate
	Loudness      Loudness
	Heard         hearing.Heard // what the last seconds sounded like
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
