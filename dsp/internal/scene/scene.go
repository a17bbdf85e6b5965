// Package scene makes test signals by their levels in dB and lengths in
// seconds: float64 samples of one channel that can be added, scaled and laid
// out as interleaved frames.
package scene

import (
	"math"
	"math/rand/v2"

	"rollready/dsp/db"
)

// Frames gives the number of frames in so many seconds.
func Frames(seconds float64, rateHz int) int { return int(math.Round(seconds * float64(rateHz))) }

// Sine is a sine of the given peak level and phase in degrees.
func Sine(hz, peakDBFS, degrees, seconds float64, rateHz int) []float64 {
	x := make([]float64, Frames(seconds, rateHz))
	amplitude, step := db.ToAmplitude(peakDBFS), 2*math.Pi*hz/float64(rateHz)
	for i := range x {
		x[i] = amplitude * math.Sin(step*float64(i)+degrees*math.Pi/180)
	}
	return x
}

// Noise is white Gaussian noise of the given AES17 rms level, the same for
// the same seed.
func Noise(rmsDBFS, seconds float64, rateHz int, seed uint64) []float64 {
	x := make([]float64, Frames(seconds, rateHz))
	sigma := db.ToAmplitude(rmsDBFS - db.SineRMS)
	random := rand.New(rand.NewPCG(seed, 1))
	for i := range x {
		x[i] = sigma * random.NormFloat64()
	}
	return x
}

// Silence is so many seconds of zeros.
func Silence(seconds float64, rateHz int) []float64 { return make([]float64, Frames(seconds, rateHz)) }

// Add adds signals; the result is as long as the longest.
func Add(signals ...[]float64) []float64 {
	var sum []float64
	for _, s := range signals {
		if len(s) > len(sum) {
			sum = append(sum, make([]float64, len(s)-len(sum))...)
		}
		for i, v := range s {
			sum[i] += v
		}
	}
	return sum
}

// Scale multiplies by a gain in dB, into a new slice.
func Scale(x []float64, gainDB float64) []float64 {
	scaled, factor := make([]float64, len(x)), db.ToAmplitude(gainDB)
	for i, v := range x {
		scaled[i] = factor * v
	}
	return scaled
}

// Interleave lays channels of equal length out as frames.
func Interleave(channels ...[]float64) []float32 {
	frames := make([]float32, len(channels)*len(channels[0]))
	for c, x := range channels {
		for i, v := range x {
			frames[i*len(channels)+c] = float32(v)
		}
	}
	return frames
}

// InBlocks hands frames on in blocks of changing size.
func InBlocks(frames []float32, channels int, process func([]float32)) {
	for size := 1; len(frames) > 0; size = size*3%1009 + 1 {
		n := min(size*channels, len(frames))
		process(frames[:n])
		frames = frames[n:]
	}
}
