package lineup_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"rollready/dsp/db"
	"rollready/dsp/filter"
)

// simulated is a camera made of formulas: everything the analyser has to find
// out is a field here.
type simulated struct {
	rateHz    int
	ppm       float64
	gainDB    float64
	inverted  bool
	lowCut    filter.Cut // camera's own high-pass
	bandLimit filter.Cut // what a lossy codec leaves
	curve     func(float64) float64
	levelling levelling
	noiseDBFS float64 // rms after AES17, white
	hum       float64 // amplitude of 50 Hz
	bits16    bool
	mix       [2][2]float64 // camera channel from left, right
	channels  int
	seed      uint64
}

// levelling is an automatic level or limiter: a gain in dB that follows the
// level towards target with one-pole attack and release.
type levelling struct {
	on              bool
	targetDBFS      float64
	maxDB, minDB    float64
	attack, release float64 // seconds
	gateDBFS        float64 // below it the gain stands still; −Inf: never
}

// record runs stereo sound at 48 kHz through the camera.
func (c simulated) record(left, right []float64) []float32 {
	rng := rand.New(rand.NewPCG(c.seed, 7))
	inputs := c.resample(left, right)
	n := len(inputs[0])
	out := make([]float32, n*c.channels)
	sides := make([][]float64, c.channels)
	for ch := range sides {
		sides[ch] = c.preamp(inputs, c.mix[ch])
	}
	c.level(sides)
	for ch, x := range sides {
		c.finish(x, rng)
		for i, v := range x {
			out[i*c.channels+ch] = float32(v)
		}
	}
	return out
}

func (c simulated) preamp(inputs [2][]float64, mix [2]float64) []float64 {
	gain := db.ToAmplitude(c.gainDB)
	if c.inverted {
		gain = -gain
	}
	cut := filter.HighPass(c.lowCut, c.rateHz)
	states := make([]filter.State, len(cut))
	x := make([]float64, len(inputs[0]))
	for i := range x {
		v := gain * (mix[0]*inputs[0][i] + mix[1]*inputs[1][i])
		for k := range cut {
			v = states[k].Step(&cut[k], v)
		}
		x[i] = v
	}
	return x
}

// level applies the automatic level, the same to both channels.
func (c simulated) level(sides [][]float64) {
	l := c.levelling
	if !l.on {
		return
	}
	const hop = 8
	step := hop / float64(c.rateHz)
	fall := math.Exp(-step / 0.05)
	attack, release := 1-math.Exp(-step/l.attack), 1-math.Exp(-step/l.release)
	envelope, gain := 0.0, 0.0
	for at := 0; at < len(sides[0]); at += hop {
		end := min(at+hop, len(sides[0]))
		envelope *= fall
		for _, x := range sides {
			for _, v := range x[at:end] {
				envelope = max(envelope, math.Abs(v))
			}
		}
		level := db.FromAmplitude(envelope + 1e-9)
		wanted := min(max(l.targetDBFS-level, l.minDB), l.maxDB)
		switch {
		case level < l.gateDBFS:
		case wanted < gain:
			gain += attack * (wanted - gain)
		default:
			gain += release * (wanted - gain)
		}
		factor := db.ToAmplitude(gain)
		for _, x := range sides {
			for i := at; i < end; i++ {
				x[i] *= factor
			}
		}
	}
}

// finish clips, adds noise and hum, limits the band, converts to bits.
func (c simulated) finish(x []float64, rng *rand.Rand) {
	limit := filter.LowPass(c.bandLimit, c.rateHz)
	states := make([]filter.State, len(limit))
	noise := db.ToAmplitude(c.noiseDBFS-db.SineRMS) * math.Sqrt(3) // uniform of that rms
	for i, v := range x {
		v = c.curve(v) + noise*(2*rng.Float64()-1)
		if c.hum > 0 {
			v += c.hum * math.Sin(2*math.Pi*50*float64(i)/float64(c.rateHz))
		}
		for k := range limit {
			v = states[k].Step(&limit[k], v)
		}
		v = min(max(v, -1), 1)
		if c.bits16 {
			v = math.Round(v*32767) / 32768
		}
		x[i] = v
	}
}

// resample brings 48 kHz to the camera's clock: 24 taps of a Kaiser-windowed
// sinc, from a table with linear interpolation.
func (c simulated) resample(left, right []float64) (out [2][]float64) {
	step := 48000 / (float64(c.rateHz) * (1 + c.ppm*1e-6))
	n := int(float64(len(left)) / step)
	out = [2][]float64{make([]float64, n), make([]float64, n)}
	for i := range n {
		at := float64(i) * step
		whole := int(at)
		part := (at - float64(whole)) * fineSteps
		a, b := &kernel[int(part)], &kernel[int(part)+1]
		mix := part - math.Floor(part)
		if from := whole - halfTaps + 1; from >= 0 && from+2*halfTaps <= len(left) {
			l, r := (*[2 * halfTaps]float64)(left[from:]), (*[2 * halfTaps]float64)(right[from:])
			var suml, sumr float64
			for k := range a {
				tap := a[k] + mix*(b[k]-a[k])
				suml, sumr = suml+tap*l[k], sumr+tap*r[k]
			}
			out[0][i], out[1][i] = suml, sumr
		}
	}
	return out
}

const halfTaps, fineSteps = 12, 256

// kernel holds the taps for each fraction of a sample.
var kernel = func() (rows [fineSteps + 1][2 * halfTaps]float64) {
	for r := range rows {
		for k := range rows[r] {
			t := float64(k-halfTaps+1) - float64(r)/fineSteps
			rows[r][k] = sinc(0.96*t) * 0.96 * kaiser(t/halfTaps)
		}
	}
	return rows
}()

func sinc(t float64) float64 {
	if t == 0 {
		return 1
	}
	return math.Sin(math.Pi*t) / (math.Pi * t)
}

// kaiser is a Kaiser window with β = 8.
func kaiser(t float64) float64 {
	if t <= -1 || t >= 1 {
		return 0
	}
	return bessel(8*math.Sqrt(1-t*t)) / bessel(8)
}

func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; k < 30; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// The curves of an input stage, for a clip level in dBFS.
func hardAt(dbfs float64) func(float64) float64 {
	a := db.ToAmplitude(dbfs)
	return func(x float64) float64 { return min(max(x, -a), a) }
}

func softAt(dbfs float64) func(float64) float64 {
	a := db.ToAmplitude(dbfs)
	return func(x float64) float64 { return a * math.Tanh(x/a) }
}

// lopsidedAt rounds one side and cuts the other.
func lopsidedAt(dbfs float64) func(float64) float64 {
	a := db.ToAmplitude(dbfs)
	return func(x float64) float64 {
		if x > 0 {
			return a * math.Tanh(x/a)
		}
		return max(x, -a)
	}
}

// trueClip works out from a curve alone the output level at which a sine
// passes 1 % distortion (harmonics 2 to 10) or loses 0.5 dB, whichever is lower.
func trueClip(curve func(float64) float64, gainDB float64) float64 {
	whole := func(x float64) float64 { return min(max(curve(x), -1), 1) }
	clipped := func(level float64) bool {
		amplitude := db.ToAmplitude(level + gainDB)
		first, distortion := harmonics(whole, amplitude)
		return distortion >= 0.01 || db.FromAmplitude(first/amplitude) <= -0.5
	}
	low, high := -70.0, 10.0
	if !clipped(high) {
		return math.Inf(1)
	}
	for high-low > 0.01 {
		if middle := (low + high) / 2; clipped(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

const period = 1000

// turns holds one period of e^(2πi·n).
var turns = func() (t [period]complex128) {
	for i := range t {
		t[i] = cmplx.Exp(complex(0, 2*math.Pi*(float64(i)+0.5)/period))
	}
	return t
}()

func harmonics(curve func(float64) float64, amplitude float64) (first, distortion float64) {
	var sums [11]complex128
	for i := range turns {
		y, turn := curve(amplitude*imag(turns[i])), complex(1, 0)
		for k := 1; k < len(sums); k++ {
			turn *= turns[i]
			sums[k] += complex(y, 0) * turn
		}
	}
	sum := 0.0
	for k := 2; k < len(sums); k++ {
		sum += real(sums[k])*real(sums[k]) + imag(sums[k])*imag(sums[k])
	}
	first = cmplx.Abs(sums[1])
	return first * 2 / period, math.Sqrt(sum) / first
}
