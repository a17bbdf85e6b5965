package survey

import (
	"encoding/json"

	"rollready/dsp/figure"
	"rollready/dsp/loudness"
	"rollready/dsp/verdict"
)

// Result is everything measured of one file. Lists have an entry per channel:
// of a take, per processed track, as all figures but those of Tracks and Roles.
type Result struct {
	Path           string          `json:"path"`
	DurationS      figure.Figure   `json:"duration_s"`
	SampleRateHz   int             `json:"sample_rate_hz"`
	Channels       int             `json:"channels"`
	SamplePeakDBFS []figure.Figure `json:"sample_peak_dbfs"`
	TruePeakDBTP   []figure.Figure `json:"true_peak_dbtp"`
	RMSDBFS        []figure.Figure `json:"rms_dbfs"`
	DCOffset       []figure.Figure `json:"dc_offset"`
	ClippedRuns    []int64         `json:"clipped_runs"`
	FlatTops       []int64         `json:"flat_tops"`
	Dropouts       int64           `json:"dropouts"`
	NonFinite      int64           `json:"non_finite_samples"` // NaN and ±Inf, of all channels; measured as silence
	loudness.Whole
	NoiseFloorDBFS figure.Figure     `json:"noise_floor_dbfs"` // of the channel with the voice
	NoiseFloorDBA  figure.Figure     `json:"noise_floor_dba"`
	Hum            Hum               `json:"hum"` // of the channel where it is strongest
	Bands          []Band            `json:"bands"`
	ChannelWeights []figure.Figure   `json:"channel_weights"` // of each channel in the loudness
	Tracks         []Track           `json:"tracks"`          // all channels of the file
	Roles          []Part            `json:"roles"`           // none where no track has one
	Strips         []Strip           `json:"strips"`          // none where nobody's microphone has a name
	Safety         *Safety           `json:"safety"`          // null: no channel is a lower copy of another
	Findings       []verdict.Finding `json:"findings"`

	Truncated bool    `json:"truncated"` // the file is shorter than it claims
	Trace     Trace   `json:"-"`
	Events    []Event `json:"-"`

	microphones []Strip
	voiceLUFS   figure.Figure // of the channel with the voice by itself; only for a comparison
}

// Hum is the mains hum of a file.
type Hum struct {
	Present   bool
	MainsHz   int // 0: no hum; null in JSON
	LevelDBFS figure.Figure
}

// MarshalJSON writes null for a frequency that is not there.
func (h Hum) MarshalJSON() ([]byte, error) {
	var hz *int
	if h.Present {
		hz = &h.MainsHz
	}
	return json.Marshal(struct {
		Present   bool          `json:"present"`
		MainsHz   *int          `json:"mains_hz"`
		LevelDBFS figure.Figure `json:"level_dbfs"`
	}{h.Present, hz, h.LevelDBFS})
}

// Band is a one-third-octave band of the mean of all channels.
type Band struct {
	NominalHz    figure.Figure `json:"nominal_hz"`
	LevelDBFS    figure.Figure `json:"level_dbfs"`     // mean over the file
	MaxDBFS      figure.Figure `json:"max_dbfs"`       // fast
	RoomToneDBFS figure.Figure `json:"room_tone_dbfs"` // exceeded 90 % of the time
}

// Trace is level and loudness over time, for a picture.
type Trace struct {
	StepSeconds   float64
	PeakDBFS      []float64 // highest sample of all channels in each step
	ShortTermLUFS []float64 // highest in each step
}

// Event is a fault at one place in the file.
type Event struct {
	Seconds float64
	Code    verdict.Code
	Channel int // from 1; 0: all
}

// Total adds up the counts of all channels.
func Total(counts []int64) (sum int64) {
	for _, n := range counts {
		sum += n
	}
	return sum
}
