package lineup

import (
	"math"

	"rollready/dsp/camera"
	"rollready/dsp/figure"
)

// Figure is a number that may be missing.
type Figure = figure.Figure

// none is the missing Figure.
var none = Figure(math.NaN())

// Result is what a camera does to sound. Levels named DBFS are on the
// camera's scale but for those that say "output".
type Result struct {
	OffsetDB          Figure    `json:"offset_db" toml:"offset_db"`                   // camera reading = output level + this, at 1 kHz
	ClipDBFS          Figure    `json:"clip_dbfs" toml:"clip_dbfs"`                   // output level at which the camera clips; missing: it never does
	Clip              Clip      `json:"clip" toml:"clip"`                             // how it clips
	AutomaticLevel    Automatic `json:"automatic_level" toml:"automatic_level"`       // gain that follows the sound
	Limiter           Automatic `json:"limiter" toml:"limiter"`                       // gain that only holds back the loudest
	NoiseDBFS         Figure    `json:"noise_dbfs" toml:"noise_dbfs"`                 // rms after AES17; missing: digital silence
	NoiseDBA          Figure    `json:"noise_dba" toml:"noise_dba"`                   // the same, A-weighted
	UsableDB          Figure    `json:"usable_db" toml:"usable_db"`                   // from the A-weighted noise to the clip point
	Polarity          Polarity  `json:"polarity" toml:"polarity"`                     // of the first channel that carries sound
	Wiring            Wiring    `json:"wiring" toml:"wiring"`                         // what became of left and right
	Channels          []Channel `json:"channels" toml:"channels,inline"`              // the camera's channels in order
	ClockPPM          float64   `json:"clock_ppm" toml:"clock_ppm"`                   // camera's clock against ours; positive: the camera's is faster
	DistortionPercent Figure    `json:"distortion_percent" toml:"distortion_percent"` // total harmonic distortion at −20 dBFS output
	Response          []Point   `json:"response" toml:"response,inline"`              // against 1 kHz; empty where the sweep was clipped or levelled
	LowCut            Cut       `json:"low_cut" toml:"low_cut"`                       // the camera's own high-pass, as the nearest Butterworth
	HighCut           Cut       `json:"high_cut" toml:"high_cut"`                     // its own or its codec's low-pass
	Target            Window    `json:"target" toml:"target"`                         // best place of the target window
	PadDB             float64   `json:"pad_db" toml:"pad_db"`                         // pad to add, or output to take back
	RateHz            int       `json:"sample_rate_hz" toml:"sample_rate_hz"`         // of the clip
	Advice            []string  `json:"advice" toml:"advice,multiline"`               // what to do, most urgent first
}

// Clip tells how a camera clips.
type Clip struct {
	Kind            ClipKind `json:"kind" toml:"kind"`
	OnePercentDBFS  Figure   `json:"one_percent_dbfs" toml:"one_percent_dbfs"` // output level of 1 % harmonic distortion
	CompressionDBFS Figure   `json:"compression_dbfs" toml:"compression_dbfs"` // output level at which the gain is down by 0.5 dB
}

// ClipKind is how the top of the camera's range ends.
type ClipKind string

// The kinds: no end up to −1 dBFS output; cut off flat; rounded; held back by
// a limiter before it distorts.
const (
	NoClip   ClipKind = "none"
	HardClip ClipKind = "hard"
	SoftClip ClipKind = "soft"
	Limited  ClipKind = "limiter"
)

// Automatic is a gain that moves by itself. Times are to 63 % of the change
// in dB; missing where they can't be told.
type Automatic struct {
	On        bool   `json:"on" toml:"on"`
	AttackMS  Figure `json:"attack_ms" toml:"attack_ms"`
	ReleaseMS Figure `json:"release_ms" toml:"release_ms"`
}

// Polarity of a channel.
type Polarity string

// The polarities.
const (
	Normal   Polarity = "normal"
	Inverted Polarity = "inverted"
)

// Side is what a camera channel carries of what was sent.
type Side string

// The sides.
const (
	Nothing Side = "nothing"
	Left    Side = "left"
	Right   Side = "right"
	Both    Side = "both"
)

// Wiring says what became of left and right.
type Wiring string

// The wirings.
const (
	Straight  Wiring = "stereo"
	Swapped   Wiring = "swapped"
	LeftOnly  Wiring = "left-only"
	RightOnly Wiring = "right-only"
	Summed    Wiring = "summed"
	Odd       Wiring = "odd" // anything else; see the channels
)

// Channel is one of the camera's channels.
type Channel struct {
	Carries  Side     `json:"carries" toml:"carries"`
	OffsetDB Figure   `json:"offset_db" toml:"offset_db"` // missing where it carries nothing
	Polarity Polarity `json:"polarity" toml:"polarity"`
}

// Point is one point of the frequency response.
type Point struct {
	Hz      float64 `json:"hz" toml:"hz"`
	LevelDB float64 `json:"level_db" toml:"level_db"`
}

// Cut is a filter of the camera's: cutoff in Hz and slope in dB per octave;
// slope 0: none.
type Cut struct {
	Hz    float64 `json:"hz" toml:"hz"`
	Slope int     `json:"slope" toml:"slope"`
}

// Window is a target window on the camera's scale in dBFS.
type Window struct {
	LowDBFS  float64 `json:"low_dbfs" toml:"low_dbfs"`
	HighDBFS float64 `json:"high_dbfs" toml:"high_dbfs"`
}

// tidy rounds every figure to a hundredth, finer than anything is measured,
// and leaves no list nil.
func (r *Result) tidy() {
	for _, f := range []*Figure{&r.OffsetDB, &r.ClipDBFS, &r.Clip.OnePercentDBFS, &r.Clip.CompressionDBFS,
		&r.AutomaticLevel.AttackMS, &r.AutomaticLevel.ReleaseMS, &r.Limiter.AttackMS, &r.Limiter.ReleaseMS,
		&r.NoiseDBFS, &r.NoiseDBA, &r.UsableDB} {
		*f = Figure(hundredth(float64(*f)))
	}
	r.DistortionPercent = Figure(math.Round(1e4*float64(r.DistortionPercent)) / 1e4)
	r.ClockPPM = hundredth(r.ClockPPM)
	for i := range r.Channels {
		r.Channels[i].OffsetDB = Figure(hundredth(float64(r.Channels[i].OffsetDB)))
	}
	for i := range r.Response {
		r.Response[i].LevelDB = hundredth(r.Response[i].LevelDB)
	}
	if r.Response == nil {
		r.Response = []Point{}
	}
	if r.Advice == nil {
		r.Advice = []string{}
	}
}

func hundredth(x float64) float64 { return math.Round(100*x)/100 + 0 }

// Scale gives the camera's scale for its meter. A camera that never clipped
// ends at its own full scale, 0 dBFS.
func (r Result) Scale() camera.Scale {
	s := camera.Scale{OffsetDB: float64(r.OffsetDB), TargetLowDBFS: r.Target.LowDBFS, TargetHighDBFS: r.Target.HighDBFS}
	if r.ClipDBFS.Known() {
		s.ClipDBFS = min(0, float64(r.ClipDBFS+r.OffsetDB))
	}
	return s
}
