package take

import (
	"math"
	"slices"

	"rollready/capture"
	"rollready/capture/survey"
	"rollready/capture/take/bwf"
	"rollready/capture/track"
	"rollready/capture/wavfile"
	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/loudness"
	"rollready/dsp/truepeak"
	"rollready/dsp/verdict"
)

// Levels are those of a whole take; of several channels the highest. −Inf is
// silence; NaN says that nothing was measured.
type Levels struct {
	InputPeakDBTP  figure.Figure `toml:"input_peak_dbtp" json:"input_peak_dbtp"`
	OutputPeakDBTP figure.Figure `toml:"output_peak_dbtp" json:"output_peak_dbtp"`
	CameraPeakDBTP figure.Figure `toml:"camera_peak_dbtp" json:"camera_peak_dbtp"` // on the camera's scale; of microphones mixed for it that of samples, if higher
	loudness.Whole               // of the output
	NoiseFloorDBFS figure.Figure `toml:"noise_floor_dbfs" json:"noise_floor_dbfs"` // of the channel with the voice
	Clips          int64         `toml:"clips" json:"clips"`                       // runs at full scale at the input
}

func noLevels() Levels {
	no := figure.Figure(math.NaN())
	return Levels{no, no, no, loudness.Whole{IntegratedLUFS: no, RangeLU: no, MaxMomentaryLUFS: no, MaxShortTermLUFS: no}, no, 0}
}

func (l Levels) bext() bwf.Loudness {
	return bwf.Loudness{Known: true, IntegratedLUFS: float64(l.IntegratedLUFS), RangeLU: float64(l.RangeLU),
		MaxTruePeak: float64(l.OutputPeakDBTP), MaxMomentary: float64(l.MaxMomentaryLUFS), MaxShortTerm: float64(l.MaxShortTermLUFS)}
}

// measure follows a take as its frames come, and judges it as a report of the
// file would. The recorder's goroutine uses it.
type measure struct {
	format   capture.Format
	out, raw []int   // channels of the processed and of the raw tracks
	full     float64 // steps to full scale in the file; 0: floating point
	survey   *survey.Meter
	peak     *truepeak.Meter // of the output before it is cut
	curve    *curve
	block    []float32
	silent   int64   // frames since the input was last above the silence level
	sent     float64 // highest magnitude of a sample that the camera got
}

// newMeasure measures frames with these tracks, for a file of this encoding.
func newMeasure(rateHz int, tracks []track.Track, e wavfile.Encoding) *measure {
	m := &measure{format: capture.Format{RateHz: rateHz, Channels: len(tracks)}, curve: newCurve(rateHz)}
	if !e.IsFloat() {
		m.full = math.Exp2(float64(8*e.Bytes() - 1))
	}
	for i, g := range track.Groups(tracks) {
		switch {
		case i == 0:
			m.out = g.Channels
		case g.Role == verdict.Raw:
			m.raw = g.Channels
		}
	}
	m.survey = survey.New(m.format, tracks)
	m.peak = truepeak.New(rateHz, len(m.out))
	return m
}

// process takes frames of all tracks, and rounds and cuts them as the file will.
func (m *measure) process(frames []float32) {
	m.listen(frames)
	m.block = m.block[:0]
	for at := 0; at < len(frames); at += m.format.Channels {
		for _, c := range m.out {
			m.block = append(m.block, frames[at+c])
		}
	}
	m.peak.Process(m.block)
	if m.full > 0 {
		for i, x := range frames {
			frames[i] = float32(max(-m.full, min(m.full-1, math.RoundToEven(float64(x)*m.full))) / m.full)
		}
	}
	m.curve.process(m.block, len(m.out))
	m.survey.Process(frames)
}

// gap takes frames of silence in place of an input that is away.
func (m *measure) gap(frames int64) {
	m.curve.gap(frames)
	m.survey.Process(make([]float32, int(frames)*m.format.Channels))
}

// listen counts the frames since the input was last above the silence level.
func (m *measure) listen(frames []float32) {
	for at := 0; at < len(frames); at += m.format.Channels {
		m.silent++
		for _, c := range m.raw {
			if x := frames[at+c]; x > silenceAmplitude || x < -silenceAmplitude {
				m.silent = 0
			}
		}
	}
}

// clips counts runs at full scale at the input, all channels together.
func (m *measure) clips() int64 { return m.survey.ClippedRuns(verdict.Raw) }

// judge ends the measuring and notes in the take what it came to. Levels that
// are known from before they were cut stay.
func (m *measure) judge(t *Take) {
	r, was := m.survey.Result(), t.Levels
	t.Levels = m.levels(r, camera.Scale{OffsetDB: t.OffsetDB})
	t.Levels.Clips = max(t.Levels.Clips, was.Clips)
	if !math.IsNaN(float64(was.OutputPeakDBTP)) {
		t.Levels.InputPeakDBTP, t.Levels.OutputPeakDBTP, t.Levels.CameraPeakDBTP = was.InputPeakDBTP, was.OutputPeakDBTP, was.CameraPeakDBTP
	}
	t.Picture = m.curve.picture()
	for _, b := range r.Bands {
		t.Picture.BandHz = append(t.Picture.BandHz, float64(b.NominalHz))
		t.Picture.BandDBFS = append(t.Picture.BandDBFS, tenth(float64(b.LevelDBFS)))
	}
	t.Findings, t.Judged = slices.Concat(r.Findings, t.cameraFindings()), true
	verdict.Sort(t.Findings)
}

func (m *measure) levels(r survey.Result, c camera.Scale) Levels {
	l := Levels{InputPeakDBTP: figure.Figure(math.NaN()), Whole: r.Whole, NoiseFloorDBFS: r.NoiseFloorDBFS}
	top := 0.0
	for c := range m.out {
		top = max(top, m.peak.Max(c))
	}
	l.OutputPeakDBTP = figure.Figure(db.FromAmplitude(top))
	l.CameraPeakDBTP = figure.Figure(c.Reads(db.FromAmplitude(max(top, m.sent))))
	if m.raw != nil {
		var peaks []figure.Figure
		for _, c := range m.raw {
			peaks = append(peaks, r.Tracks[c].TruePeakDBTP)
			l.Clips += r.Tracks[c].ClippedRuns
		}
		l.InputPeakDBTP = figure.Highest(peaks)
	}
	return l
}
