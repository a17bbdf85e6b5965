package take

import (
	"math"

	"rollready/capture/take/bwf"
	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/dsp/level"
	"rollready/dsp/loudness"
	"rollready/dsp/spectrum"
	"rollready/dsp/truepeak"
)

// Levels are those of a whole take, the highest of all channels. −Inf is
// silence; NaN says that nothing was measured.
type Levels struct {
	InputPeakDBTP    float64 `toml:"input_peak_dbtp"`
	CameraPeakDBTP   float64 `toml:"camera_peak_dbtp"` // on the camera's scale
	IntegratedLUFS   float64 `toml:"integrated_lufs"`  // of the output, as the following
	RangeLU          float64 `toml:"loudness_range_lu"`
	MaxMomentaryLUFS float64 `toml:"max_momentary_lufs"`
	MaxShortTermLUFS float64 `toml:"max_short_term_lufs"`
	OutputPeakDBTP   float64 `toml:"output_peak_dbtp"`
	NoiseFloorDBFS   float64 `toml:"noise_floor_dbfs"` // rms that nine tenths of the take lie above
	Clips            int64   `toml:"clips"`            // runs at full scale at the input
}

func noLevels() Levels {
	no := math.NaN()
	return Levels{no, no, no, no, no, no, no, no, 0}
}

func (l Levels) bext() bwf.Loudness {
	return bwf.Loudness{Known: true, IntegratedLUFS: l.IntegratedLUFS, RangeLU: l.RangeLU,
		MaxTruePeak: l.OutputPeakDBTP, MaxMomentary: l.MaxMomentaryLUFS, MaxShortTerm: l.MaxShortTermLUFS}
}

// bands of the picture: one-third octaves, base ten, number 0 at 1 kHz.
const (
	lowestBand  = -18 // 16 Hz
	highestBand = 13  // 20 kHz
)

// nominal midbands after IEC 61260-1, in Hz, for one decade.
var nominal = [10]float64{1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000}

// measure follows a take. The recorder's goroutine uses it.
type measure struct {
	rateHz, channels int
	camera           camera.Scale
	inPeak, outPeak  *truepeak.Meter
	input            *level.Meter
	loudness         *loudness.Meter
	curve            *curve
	floor            floor
	welch            *spectrum.Welch
	mono             []float64
	in, out          []float32
	silent           int64 // frames since the input was last above the silence level
}

func newMeasure(rateHz, channels int, c camera.Scale) *measure {
	return &measure{rateHz: rateHz, channels: channels, camera: c,
		inPeak: truepeak.New(rateHz, channels), outPeak: truepeak.New(rateHz, channels),
		input: level.New(rateHz, channels), loudness: loudness.New(rateHz, channels),
		curve: newCurve(rateHz), floor: floor{hop: rateHz / 10},
		welch: spectrum.New(float64(rateHz), 16384, float64(rateHz)/2)}
}

// process takes frames as the intake gives them: output, then input.
func (m *measure) process(frames []float32) {
	c := m.channels
	m.in, m.out, m.mono = m.in[:0], m.out[:0], m.mono[:0]
	for ; len(frames) >= 2*c; frames = frames[2*c:] {
		m.out, m.in = append(m.out, frames[:c]...), append(m.in, frames[c:2*c]...)
		m.frame(frames[:c], frames[c:2*c])
	}
	m.inPeak.Process(m.in)
	m.outPeak.Process(m.out)
	m.input.Process(m.in)
	m.loudness.Process(m.out)
	m.welch.Process(m.mono)
}

func (m *measure) frame(out, in []float32) {
	var peak, square, sum float64
	for _, x := range out {
		v := float64(x)
		peak, square, sum = max(peak, math.Abs(v)), square+v*v, sum+v
	}
	square /= float64(len(out))
	m.curve.add(peak, square)
	m.floor.add(square)
	m.mono = append(m.mono, sum/float64(len(out)))
	m.silent++
	for _, x := range in {
		if x > silenceAmplitude || x < -silenceAmplitude {
			m.silent = 0
		}
	}
}

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
		NoiseFloorDBFS: m.floor.levelDBFS(), Clips: m.clips()}
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
	all := m.welch.Quiet(1)
	if len(all.Power) == 0 {
		return p
	}
	for n := lowestBand; n <= highestBand; n++ {
		mid := 1000 * math.Pow(10, float64(n)/10)
		high := mid * math.Pow(10, 0.05)
		if high > float64(m.rateHz)/2 {
			break
		}
		decade := math.Floor(float64(n) / 10)
		p.BandHz = append(p.BandHz, nominal[n-10*int(decade)]*math.Pow(10, decade))
		p.BandDBFS = append(p.BandDBFS, tenth(db.RMS(all.Band(mid*math.Pow(10, -0.05), high))))
	}
	return p
}

// floor finds the rms level that nine tenths of all stretches of 0.1 s lie
// above: the room between the words (common practice, no source).
type floor struct {
	hop, at int
	sum     float64
	counts  [floorBins]int64
	total   int64
}

const (
	floorBins  = 1300 // of 0.1 dB up from floorLow
	floorLow   = -126.0
	floorShare = 0.1
)

func (f *floor) add(square float64) {
	f.sum += square
	if f.at++; f.at < f.hop {
		return
	}
	dbfs := db.RMS(f.sum / float64(f.hop))
	f.counts[int(max(0, min(floorBins-1, 10*(dbfs-floorLow))))]++
	f.total++
	f.sum, f.at = 0, 0
}

func (f *floor) levelDBFS() float64 {
	below := int64(0)
	for i, n := range f.counts {
		if below += n; n > 0 && float64(below) >= floorShare*float64(f.total) {
			if i == 0 {
				return math.Inf(-1)
			}
			return tenth(floorLow + float64(i)/10)
		}
	}
	return math.NaN()
}
