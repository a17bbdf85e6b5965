// Package signal makes the signals that tests and benchmarks feed in: float32
// samples by amplitude and count of frames, for tests of single bits and
// blocks. Package scene makes them by level and length, for tests of measures.
package signal

import (
	"math"
	"math/rand/v2"
)

// Sine gives a mono tone of the given peak amplitude.
func Sine(hz, amplitude float64, rateHz, frames int) []float32 {
	x := make([]float32, frames)
	for i := range x {
		x[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)))
	}
	return x
}

// Noise gives repeatable white noise, evenly spread between ±amplitude.
func Noise(amplitude float64, frames int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, frames)
	for i := range x {
		x[i] = float32(amplitude * (2*r.Float64() - 1))
	}
	return x
}

// Constant gives one value throughout.
func Constant(value float64, frames int) []float32 {
	x := make([]float32, frames)
	for i := range x {
		x[i] = float32(value)
	}
	return x
}

// Add gives the sum of signals of equal length.
func Add(signals ...[]float32) []float32 {
	sum := make([]float32, len(signals[0]))
	for _, s := range signals {
		for i, x := range s {
			sum[i] += x
		}
	}
	return sum
}

// Interleave makes frames out of one signal per channel.
func Interleave(channels ...[]float32) []float32 {
	out := make([]float32, 0, len(channels)*len(channels[0]))
	for i := range channels[0] {
		for _, c := range channels {
			out = append(out, c[i])
		}
	}
	return out
}

// Cut hands a copy of x to process in blocks of odd lengths, whole frames
// each, and gives what became of the copy. It shows that block cuts do not
// matter.
func Cut(x []float32, channels int, process func(block []float32)) []float32 {
	out := append([]float32(nil), x...)
	lengths := []int{1, 7, 480, 3, 1000, 64, 333}
	for at, k := 0, 0; at < len(out); k++ {
		end := min(at+lengths[k%len(lengths)]*channels, len(out))
		process(out[at:end])
		at = end
	}
	return out
}
