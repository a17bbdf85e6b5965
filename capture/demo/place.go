package demo

import (
	"math"
	"math/rand/v2"

	"rollready/dsp/filter"
)

// wind is rumble in gusts, as a microphone without enough fur gives.
type wind struct {
	random *rand.Rand
	rateHz float64
	cut    [2]filter.Biquad
	state  [2]filter.State
	gust   float64
	aim    float64
	left   int
}

func newWind(rateHz int, stream uint64) *wind {
	w := &wind{random: rand.New(rand.NewPCG(seed, stream)), rateHz: float64(rateHz)}
	w.cut = [2]filter.Biquad{filter.LowPassQ(70, 0.7, w.rateHz), filter.LowPassQ(160, 0.5, w.rateHz)}
	return w
}

// next gives the next sample; its rms lies near 1 in the middle of a gust.
func (w *wind) next() float64 {
	if w.left == 0 {
		w.aim = 0.15 + 0.85*w.random.Float64()*w.random.Float64()
		w.left = int(w.rateHz * (0.3 + w.random.Float64()))
	}
	w.left--
	w.gust += (w.aim - w.gust) / (0.4 * w.rateHz)
	x := 2*w.random.Float64() - 1
	for i := range w.cut {
		x = w.state[i].Step(&w.cut[i], x)
	}
	// White noise loses level as the band shrinks against the sample rate.
	return x * w.gust * math.Sqrt(w.rateHz/48)
}

// hum is the mains: 50 Hz and its harmonics, the odd ones stronger.
type hum struct{ cos, sin, stepCos, stepSin float64 }

const humHz = 50

func newHum(rateHz int) *hum {
	step := 2 * math.Pi * humHz / float64(rateHz)
	return &hum{cos: 1, stepCos: math.Cos(step), stepSin: math.Sin(step)}
}

// next gives the next sample; the fundamental has amplitude 1. Harmonics come
// from the angle's multiples, so only one rotation is kept.
func (h *hum) next() float64 {
	h.cos, h.sin = h.cos*h.stepCos-h.sin*h.stepSin, h.sin*h.stepCos+h.cos*h.stepSin
	// Rounding would let the radius drift over hours.
	scale := 1.5 - 0.5*(h.cos*h.cos+h.sin*h.sin)
	h.cos *= scale
	h.sin *= scale
	sin2 := 2 * h.sin * h.cos
	cos2 := 1 - 2*h.sin*h.sin
	sin3 := sin2*h.cos + cos2*h.sin
	return h.sin + 0.3*sin2 + 0.6*sin3
}
