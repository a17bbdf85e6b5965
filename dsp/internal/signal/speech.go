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
	gains := vowel(pitch, formants[r.IntN(len(formants))])
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
		y[i] += loud * envelope * voiced(phase, gains)
	}
	return length
}

// vowel gives the harmonics of a pitch up to 4 kHz, louder near the formants.
func vowel(pitch float64, at [3]float64) (gains []float64) {
	for h := 1.0; h*pitch < 4000; h++ {
		gain := 0.02
		for _, f := range at {
			gain += 1 / (1 + math.Pow((h*pitch-f)/120, 2))
		}
		gains = append(gains, gain/h)
	}
	return gains
}

// voiced is one sample of the harmonics, sin((h+1)φ) = 2·cos φ·sin hφ − sin((h−1)φ).
func voiced(phase float64, gains []float64) float64 {
	before, now := 0.0, math.Sin(phase)
	turn, sum := 2*math.Cos(phase), 0.0
	for _, gain := range gains {
		sum += gain * now
		before, now = now, turn*now-before
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
