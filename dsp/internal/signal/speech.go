package signal

import (
	"math"
	"math/rand/v2"
)

// formants of four vowels in Hz, rounded textbook figures.
var formants = [...][3]float64{{700, 1200, 2500}, {400, 2000, 2600}, {300, 900, 2300}, {500, 1500, 2500}}

// Speech gives a repeatable voice-like signal: voiced syllables with moving
// pitch and formants, hisses between them, pauses, uneven loudness. Its
// highest peak is the given amplitude.
func Speech(amplitude float64, rateHz, frames int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 2))
	y := make([]float64, frames)
	for at := 0; at < frames; {
		at += syllable(y[at:], rateHz, r)
		if r.Float64() < 0.15 {
			at += int((0.2 + 0.6*r.Float64()) * float64(rateHz))
		}
	}
	return scaled(y, amplitude)
}

// syllable adds one syllable at the start of y and tells its length in frames.
func syllable(y []float64, rateHz int, r *rand.Rand) int {
	rate := float64(rateHz)
	length := int((0.12 + 0.15*r.Float64()) * rate)
	hiss := int(0.3 * float64(length))
	pitch, glide := 95+40*r.Float64(), 0.8+0.4*r.Float64()
	loud := 0.3 + 0.7*r.Float64()
	vowel := formants[r.IntN(len(formants))]
	last := 0.0
	for i := 0; i < min(length, len(y)); i++ {
		if i < hiss {
			n := r.NormFloat64()
			y[i] += 0.05 * loud * (n - last) * math.Sin(math.Pi*float64(i)/float64(hiss))
			last = n
			continue
		}
		t := float64(i-hiss) / rate
		envelope := math.Sin(math.Pi * float64(i-hiss) / float64(length-hiss))
		phase := 2 * math.Pi * pitch * (t + 0.5*(glide-1)*t*t)
		y[i] += loud * envelope * voiced(phase, pitch, vowel)
	}
	return length
}

// voiced is one sample of harmonics up to 4 kHz, louder near the formants.
func voiced(phase, pitch float64, vowel [3]float64) float64 {
	sum := 0.0
	for h := 1.0; h*pitch < 4000; h++ {
		gain := 0.02
		for _, f := range vowel {
			gain += 1 / (1 + math.Pow((h*pitch-f)/120, 2))
		}
		sum += gain / h * math.Sin(h*phase)
	}
	return sum
}

func scaled(y []float64, amplitude float64) []float32 {
	peak := 1e-12
	for _, v := range y {
		peak = max(peak, math.Abs(v))
	}
	x := make([]float32, len(y))
	for i, v := range y {
		x[i] = float32(v / peak * amplitude)
	}
	return x
}
