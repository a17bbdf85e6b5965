package take

import (
	"math"

	"rollready/capture/take/bwf"
	"rollready/dsp/bands"
	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/dsp/level"
	"rollready/dsp/loudness"
	"rollready/dsp/noise"
	"rollready/dsp/truepeak"
)

// Levels are those of a whole take; of several channels the highest. −Inf is
// silence; NaN says that nothing was measured.
type Levels struct {
	InputPeakDBTP    float64 `toml:"input_peak_dbtp"`
	OutputPeakDBTP   float64 `toml:"output_peak_dbtp"`
	CameraPeakDBTP   float64 `toml:"camera_peak_dbtp"` // on the camera's scale
	IntegratedLUFS   float64 `toml:"integrated_lufs"`  // of the output, as the following
	RangeLU          float64 `toml:"loudness_range_lu"`
	MaxMomentaryLUFS float64 `toml:"max_momentary_lufs"`
	MaxShortTermLUFS float64 `toml:"max_short_term_lufs"`
	NoiseFloorDBFS   float64 `toml:"noise_floor_dbfs"`
	Clips            int64   `toml:"clips"` // runs at full scale at the input
}

func noLevels() Levels {
	no := math.NaN()
	return Levels{no, no, no, no, no, no, no, no, 0}
}

func (l Levels) bext() bwf.Loudness {
	return bwf.Loudness{Known: true, IntegratedLUFS: l.IntegratedLUFS, RangeLU: l.RangeLU,
		MaxTruePeak: l.OutputPeakDBTP, MaxMomentary: l.MaxMomentaryLUFS, MaxShortTerm: l.MaxShortTermLUFS}
}

// measure follows a take. The recorder's goroutine uses it.
type measure struct {
	channels        int
	camera          camera.Scale
	inPeak, outPeak *truepeak.Meter
	input           *level.Meter
	loudness        *loudness.Meter
	noise           *noise.Meter
	bands           *bands.Meter
	curve           *curve
	in, out         []float32
	silent          int64 // frames since the input was last above the silence level
}

func newMeasure(rateHz, channels int, c camera.Scale) *measure {
	return &measure{channels: channels, camera: c,
		inPeak: truepeak.New(rateHz, channels), outPeak: truepeak.New(rateHz, channels),
		input: level.New(rateHz, channels), loudness: loudness.New(rateHz, channels),
		noise: noise.New(rateHz, channels), bands: bands.New(rateHz, channels), curve: newCurve(rateHz)}
}

// process takes frames as the intake gives them: output, then input.
func (m *measure) process(frames []float32) {
	c := m.channels
	m.in, m.out = m.in[:0], m.out[:0]
	for ; len(frames) >= 2*c; frames = frames[2*c:] {
		m.out, m.in = append(m.out, frames[:c]...), append(m.in, frames[c:2*c]...)
	}
	m.inPeak.Process(m.in)
	m.outPeak.Process(m.out)
	m.input.Process(m.in)
	m.loudness.Process(m.out)
	m.noise.Process(m.out)
	m.bands.Process(m.out)
	m.curve.process(m.out, c)
	m.listen()
}

// listen counts the frames since the input was last above the silence level.
func (m *measure) listen() {
	for f := 0; f < len(m.in); f += m.channels {
		m.silent++
		for _, x := range m.in[f : f+m.channels] {
			if x > silenceAmplitude || x < -silenceAmplitude {
				m.silent = 0
			}
		}
	}
}

// clips counts runs at full scale at the input, all channels together.
func (m *measure) clips() (n int64) {
	for c := range m.channels {
		n += m.input.ClippedRuns(c)
	}
	return n
}

func (m *measure) levels() Levels {
	l := Levels{InputPeakDBTP: m.peak(m.inPeak), OutputPeakDBTP: m.peak(m.outPeak),
		IntegratedLUFS: m.loudness.Integrated(), RangeLU: m.loudness.Range(),
		MaxMomentaryLUFS: m.loudness.MaxMomentary(), MaxShortTermLUFS: m.loudness.MaxShortTerm(),
		NoiseFloorDBFS: math.Inf(-1), Clips: m.clips()}
	for c := range m.channels {
		l.NoiseFloorDBFS = max(l.NoiseFloorDBFS, m.noise.FloorDBFS(c))
	}
	l.CameraPeakDBTP = m.camera.Reads(l.OutputPeakDBTP)
	return l
}

func (m *measure) peak(t *truepeak.Meter) float64 {
	top := 0.0
	for c := range m.channels {
		top = max(top, t.Max(c))
	}
	return db.FromAmplitude(top)
}

func (m *measure) picture() Picture {
	p := m.curve.picture()
	for i := range m.bands.Usable() {
		p.BandHz = append(p.BandHz, bands.At(i).NominalHz)
		p.BandDBFS = append(p.BandDBFS, tenth(m.bands.MeanDBFS(i)))
	}
	return p
}
