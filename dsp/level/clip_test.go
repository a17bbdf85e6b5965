package level_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/signal"
)

// clipped stops x at ±ceiling.
func clipped(x []float32, ceiling float64) []float32 {
	c := float32(ceiling)
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = max(-c, min(v, c))
	}
	return y
}

// quantised rounds to bits as a converter does, which cannot reach +1.
func quantised(x []float32, bits int) []float32 {
	scale := math.Pow(2, float64(bits-1))
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(max(-scale, min(math.Round(float64(v)*scale), scale-1)) / scale)
	}
	return y
}

// gaussian is noise of the given rms amplitude.
func gaussian(rms float64, frames int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 3))
	x := make([]float32, frames)
	for i := range x {
		x[i] = float32(rms * r.NormFloat64())
	}
	return x
}

func TestClippedRunsAreCountedOnceEach(t *testing.T) {
	const f16, f24 = 32767.0 / 32768, 8388607.0 / 8388608
	for name, c := range map[string]struct {
		x    []float32
		want int64
	}{
		"two frames":               {[]float32{0, 1, 1, 0}, 0},
		"three frames":             {[]float32{0, 1, 1, 1, 0}, 1},
		"ten frames are one run":   {[]float32{0, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 0}, 1},
		"two runs":                 {[]float32{1, 1, 1, 0, -1, -1, -1}, 2},
		"16-bit stop":              {[]float32{0, f16, f16, f16, 0}, 1},
		"24-bit stop":              {[]float32{0, f24, f24, f24, 0}, 1},
		"past full scale":          {[]float32{0, 1.1, 1.3, 1.2, 0}, 1},
		"negative":                 {[]float32{0, -1, -1, -1, 0}, 1},
		"just under, not repeated": {[]float32{0, 0.99998, 0.99999, 0.999995, 0.99998, 0}, 0},
		"under":                    {[]float32{0, 0.9999, 0.9999, 0.9999, 0.9999, 0}, 0},
		"not finite is silence":    {[]float32{1, 1, float32(math.Inf(1)), 1, 1}, 0},
	} {
		require.Equal(t, c.want, measure(rate, 1, c.x).ClippedRuns(0), name)
	}
}

func TestClippedTonesAreFoundAtEveryResolution(t *testing.T) {
	for _, bits := range []int{16, 24} {
		for _, hz := range []float64{100, 440, 1000} {
			x := quantised(signal.Sine(hz, 1.5, rate, rate), bits)
			require.InDelta(t, 2*hz, float64(measure(rate, 1, x).ClippedRuns(0)), 2, "%g Hz, %d bit: one run per half-cycle", hz, bits)
			clean := quantised(signal.Sine(hz, 0.99, rate, rate), bits)
			require.Zero(t, measure(rate, 1, clean).ClippedRuns(0))
		}
	}
	loud := signal.Sine(100, 0.99999, rate, rate)
	require.Zero(t, measure(rate, 1, loud).ClippedRuns(0), "a full tone of high resolution is not clipped")
}

func TestFlatTopsAreFound(t *testing.T) {
	voice := signal.Speech(1, rate, 5*rate, 4)
	signals := map[string][]float32{"100 Hz": signal.Sine(100, 1, rate, rate), "700 Hz": signal.Sine(700, 1, rate, rate), "voice": voice}
	for name, x := range signals {
		for _, ceiling := range []float64{0.7, 0.4} {
			for _, gainDB := range []float64{0, -6, -20} {
				y := scale(clipped(x, ceiling), db.ToAmplitude(gainDB))
				what := fmt.Sprintf("%s stopped at %g, then %g dB", name, ceiling, gainDB)
				require.NotZero(t, measure(rate, 1, y).FlatTops(0), what)
				require.NotZero(t, measure(rate, 1, quantised(y, 16)).FlatTops(0), what+", 16 bit")
				require.NotZero(t, measure(rate, 1, quantised(y, 24)).FlatTops(0), what+", 24 bit")
				noisy := signal.Add(y, gaussian(db.ToAmplitude(-100), len(y), 5))
				require.NotZero(t, measure(rate, 1, noisy).FlatTops(0), what+", converter noise")
				require.Zero(t, measure(rate, 1, y).ClippedRuns(0), what)
			}
		}
	}
}

func scale(x []float32, factor float64) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(factor * float64(v))
	}
	return y
}

// A stage in front clips the voltage, and the converter's own filter rounds the
// corners: the same at eight times the rate, filtered at 20 kHz, thinned out.
// Ringing hides some tops, and all of some steady tones.
func TestFlatTopsAreFoundBehindAConvertersFilter(t *testing.T) {
	for _, hz := range []float64{110.7, 153.1, 311.3, 641.9} {
		x := clipped(signal.Sine(hz, 1, 8*rate, 8*rate), 0.5)
		sections := filter.LowPass(filter.Cut{Hz: 20000, Slope: 24}, 8*rate)
		states := make([]filter.State, len(sections))
		y := make([]float32, 0, rate)
		for i, v := range x {
			out := float64(v)
			for k := range sections {
				out = states[k].Step(&sections[k], out)
			}
			if i%8 == 0 {
				y = append(y, float32(out))
			}
		}
		noisy := signal.Add(y, gaussian(db.ToAmplitude(-100), len(y), 5))
		require.Greater(t, float64(measure(rate, 1, noisy).FlatTops(0)), hz/5, "%g Hz", hz)
	}
}

// One polarity is enough: many microphone stages clip unevenly.
func TestOneSidedFlatTopsAreFound(t *testing.T) {
	x := signal.Sine(300, 0.8, rate, rate)
	for i, v := range x {
		x[i] = max(v, -0.4)
	}
	require.InDelta(t, 300, float64(measure(rate, 1, x).FlatTops(0)), 3)
}

func TestFlatTopsAreNotSeenInCleanSignals(t *testing.T) {
	const n = 4 * rate
	signals := map[string][]float32{
		"silence": make([]float32, n), "dc": signal.Constant(0.3, n),
		"dc with noise": signal.Add(signal.Constant(0.3, n), gaussian(0.003, n, 1)),
		"white noise":   signal.Noise(0.5, n, 2), "gaussian noise": gaussian(0.1, n, 3),
		"square": square(n), "saturated tone": saturated(signal.Sine(150, 3, rate, n)),
	}
	for seed := range uint64(6) {
		voice := signal.Speech(0.8, rate, n, seed)
		signals[fmt.Sprint("voice ", seed)] = voice
		signals[fmt.Sprint("squarish voice ", seed)] = saturated(scale(voice, 3))
		signals[fmt.Sprint("quiet voice ", seed)] = scale(voice, 0.02)
	}
	for name, x := range signals {
		require.Zero(t, measure(rate, 1, x).FlatTops(0), name)
		require.Zero(t, measure(rate, 1, quantised(x, 16)).FlatTops(0), name+", 16 bit")
		require.Zero(t, measure(rate, 1, quantised(x, 24)).FlatTops(0), name+", 24 bit")
	}
}

func square(n int) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = 0.5 * float32(1-2*(i/48%2))
	}
	return x
}

// saturated bends x softly, as tape or a valve does.
func saturated(x []float32) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(0.6 * math.Tanh(float64(v)))
	}
	return y
}

func TestFlatTopsAreNotSeenInQuantisedTones(t *testing.T) {
	for _, rateHz := range []int{44100, 48000, 192000} {
		for hz := 20.0; hz < 8000; hz *= 1.7 {
			for dBFS := -1.0; dBFS > -60; dBFS -= 11.3 {
				for _, bits := range []int{8, 16, 24} {
					x := quantised(signal.Sine(hz, db.ToAmplitude(dBFS), rateHz, rateHz/5), bits)
					require.Zero(t, measure(rateHz, 1, x).FlatTops(0), "%g Hz, %g dBFS, %d bit at %d Hz", hz, dBFS, bits, rateHz)
				}
			}
		}
	}
}
