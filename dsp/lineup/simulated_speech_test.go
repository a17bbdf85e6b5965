package lineup_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/lineup/sequence"
)

// speech makes something like a voice at 48 kHz: pulses of a gliding pitch
// through three formants, in syllables with pauses, peaking at peakDBFS.
func speech(seconds, peakDBFS float64, seed uint64) []float64 {
	const rate = 48000
	rng := rand.New(rand.NewPCG(seed, 3))
	x := make([]float64, int(seconds*rate))
	base := 95 + 110*rng.Float64()
	phase, peak := 0.0, 0.0
	var voice formants
	for i := range x {
		if i%(rate/5) == 0 {
			voice = newFormants(rng)
		}
		syllable := max(0, math.Sin(2*math.Pi*2.5*float64(i)/rate))
		pitch := base * (1 + 0.15*math.Sin(2*math.Pi*0.4*float64(i)/rate))
		phase += pitch / rate
		pulse := 0.0
		if phase >= 1 {
			phase--
			pulse = 1
		}
		x[i] = voice.step(syllable * (pulse + 0.01*(2*rng.Float64()-1)))
		peak = max(peak, math.Abs(x[i]))
	}
	scale := db.ToAmplitude(peakDBFS) / max(peak, 1e-9)
	for i := range x {
		x[i] *= scale
	}
	return x
}

// formants are two low-passes in a row and one that adds brilliance.
type formants struct {
	sections [3]filter.Biquad
	states   [3]filter.State
}

func newFormants(rng *rand.Rand) formants {
	f := formants{}
	for k, hz := range [3]float64{350 + 450*rng.Float64(), 1100 + 1000*rng.Float64(), 4000} {
		f.sections[k] = filter.LowPassQ(hz, [3]float64{4, 5, 0.7}[k], 48000)
	}
	return f
}

func (f *formants) step(x float64) float64 {
	for k := range f.sections {
		x = f.states[k].Step(&f.sections[k], x)
	}
	return x
}

// clean is the sequence at 48 kHz, left and right; it is only read.
var clean = sync.OnceValue(func() (sides [2][]float64) {
	p := sequence.NewPlayer(48000, 2)
	block := make([]float32, 2*48000*int(sequence.Seconds()+1))
	for i, x := range block[:2*p.Read(block)] {
		sides[i%2] = append(sides[i%2], float64(x))
	}
	return sides
})

// sequenceWith gives the sequence at 48 kHz with sound before and after it.
func sequenceWith(before, after []float64) (left, right []float64) {
	sides := clean()
	return slices.Concat(before, sides[0], after), slices.Concat(before, sides[1], after)
}
