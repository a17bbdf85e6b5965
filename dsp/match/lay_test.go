package match

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/filter"
)

// sound is a signal that is known at every moment: noise up to about 4 kHz,
// in syllables.
type sound struct{ values, loudness []float64 }

func newSound(seconds float64, seed uint64) sound {
	r := rand.New(rand.NewPCG(seed, 3))
	s := sound{make([]float64, int(seconds*8000)), make([]float64, int(seconds*6)+2)}
	for i := range s.values {
		s.values[i] = r.NormFloat64()
	}
	for i := range s.loudness {
		s.loudness[i] = math.Pow(10, -1.5*r.Float64())
	}
	return s
}

func (s sound) at(t float64) float64 {
	whole, d := math.Modf(t * 8000)
	k := int(whole)
	if t < 0 || k < 1 || k+2 >= len(s.values) {
		return 0
	}
	p, q, r, u := s.values[k-1], s.values[k], s.values[k+1], s.values[k+2]
	sum := q + d/2*(r-p+d*(2*p-5*q+4*r-u+d*(3*(q-r)+u-p))) // Catmull and Rom
	syllable, within := math.Modf(t * 6)
	n := int(syllable)
	if n+1 >= len(s.loudness) {
		return 0
	}
	return 0.1 * sum * (s.loudness[n] + within*(s.loudness[n+1]-s.loudness[n]))
}

// device is how one heard a sound.
type device struct {
	rateHz         int
	fromS, seconds float64
	ppm            float64 // its clock is so much fast
	gain, noise    float64
	highPass       filter.Cut
	channel, of    int
	seed           uint64
}

func (r device) frames(s sound) []float32 {
	random := rand.New(rand.NewPCG(r.seed, 5))
	x := make([]float32, int(r.seconds*float64(r.rateHz))*r.of)
	sections := filter.HighPass(r.highPass, r.rateHz)
	states := make([]filter.State, len(sections))
	for i := range len(x) / r.of {
		v := r.gain * s.at(r.fromS+float64(i)/float64(r.rateHz)/(1+r.ppm*1e-6))
		for k := range sections {
			v = states[k].Step(&sections[k], v)
		}
		for c := range r.of {
			x[i*r.of+c] = float32(0.01 * r.noise * random.NormFloat64())
		}
		x[i*r.of+r.channel] += float32(v + r.noise*random.NormFloat64())
	}
	return x
}

func lay(t *testing.T, a, b device, x, y []float32) (Fit, bool) {
	t.Helper()
	side := func(r device, frames []float32) (Print, Recording) {
		printer := NewPrinter(r.rateHz, r.of)
		printer.Process(frames)
		p := printer.Print()
		return p, Recording{Seconds: float64(len(frames)/r.of) / float64(r.rateHz), Active: Activity(p), Sound: NewWaves(r.rateHz, func(dst []float32, from int64) error {
			for i := range dst {
				at := (int(from)+i)*r.of + p.Channel
				dst[i] = 0
				if at >= 0 && at < len(frames) {
					dst[i] = frames[at]
				}
			}
			return nil
		})}
	}
	take, takeSide := side(a, x)
	clip, clipSide := side(b, y)
	fit, ok, err := Lay(clip, take, clipSide, takeSide)
	require.NoError(t, err)
	return fit, ok
}

// TestTwoRecordingsOfASoundAreLinedUp has what two devices do to a sound
// together; the proof has it one by one.
func TestTwoRecordingsOfASoundAreLinedUp(t *testing.T) {
	linedUp(t, 40, map[string]func(r *device){
		"as another device hears it": func(r *device) {
			r.rateHz, r.ppm, r.gain, r.noise, r.fromS, r.seconds = 44100, 80, -0.5, 0.01, 7.654321, 35
		},
		"high-passed, second of two": func(r *device) {
			r.of, r.channel, r.gain, r.highPass, r.noise = 2, 1, 0.02, filter.Cut{Hz: 200, Slope: 24}, 1e-5
		},
	})
}

// linedUp lays one device's recording of so many seconds under that of another.
func linedUp(t *testing.T, seconds float64, changes map[string]func(r *device)) {
	t.Helper()
	s := newSound(seconds+20, 1)
	plain := device{rateHz: 48000, fromS: 5, seconds: seconds, gain: 1, noise: 0.001, of: 1, seed: 1}
	for name, change := range changes {
		b := plain
		b.seed = 2
		change(&b)
		l, ok := lay(t, plain, b, plain.frames(s), b.frames(s))
		require.True(t, ok, name)
		within := 0.0002
		if b.highPass.On() {
			within = 0.0015 // it delays what lies near its cutoff
		}
		require.InDelta(t, b.fromS-plain.fromS, l.OffsetS, within, name)
		require.Equal(t, b.gain < 0, l.Inverted, name)
		require.InDelta(t, b.ppm, -l.PPM, 2, name)
		require.GreaterOrEqual(t, l.Agreeing*10, l.Places*8, name)
	}
}

func TestShortRecordingsAreLinedUp(t *testing.T) {
	s := newSound(20, 1)
	a := device{rateHz: 48000, fromS: 1, seconds: 10, gain: 1, noise: 0.001, of: 1, seed: 1}
	b := a
	b.fromS, b.seconds, b.seed = 2.25, 6, 2
	l, ok := lay(t, a, b, a.frames(s), b.frames(s))
	require.True(t, ok)
	require.InDelta(t, 1.25, l.OffsetS, 0.0002)
}

func TestDifferentSoundsDoNotFit(t *testing.T) {
	a := device{rateHz: 48000, seconds: 40, gain: 1, noise: 0.001, of: 1, seed: 1}
	for seed := range uint64(2) {
		x, y := a.frames(newSound(40, 1)), a.frames(newSound(40, 20+seed))
		_, ok := lay(t, a, a, x, y)
		require.False(t, ok)
	}
	_, ok := lay(t, a, a, a.frames(newSound(40, 1)), make([]float32, 1000))
	require.False(t, ok, "too short")
	_, ok = lay(t, a, a, a.frames(newSound(40, 1)), make([]float32, 48000*10))
	require.False(t, ok, "silence")
}
