package demo

import (
	"math"
	"math/rand/v2"

	"rollready/dsp/filter"
)

// voice is a source-filter model of speech: pulses of the vocal folds and
// noise of air go through resonances of the mouth.
type voice struct {
	rateHz float64
	air    float64 // amplitude of white noise that sounds alike at every rate
	script *script
	random *rand.Rand

	now, aim part
	left     int // frames of the aimed part still to come
	toStep   int // frames until the aims are followed again
	step     int

	phase    float64 // of the pulse, 0…1
	last     float64 // pulse before, to differentiate
	formants [5]resonance
	hissHigh filter.State
	hissCut  filter.Biquad
}

// Two upper formants and all bandwidths in Hz stay (Klatt 1980; from memory).
const formant4, formant5 = 3300, 3750

var bandwidths = [5]float64{60, 90, 150, 250, 300}

func newVoice(rateHz int) *voice {
	v := &voice{rateHz: float64(rateHz), air: math.Sqrt(float64(rateHz) / 48000), script: newScript(), random: rand.New(rand.NewPCG(seed, 2)),
		step: max(1, rateHz/1000), now: part{pitchHz: pitchHz, mouth: closed}}
	v.hissCut = filter.HighPassQ(3500, 0.7, v.rateHz)
	return v
}

// next gives the next sample.
func (v *voice) next() float64 {
	if v.left == 0 {
		v.aim = v.script.next()
		v.left = max(1, int(v.aim.seconds*v.rateHz))
	}
	v.left--
	if v.toStep == 0 {
		v.follow()
		v.toStep = v.step
	}
	v.toStep--
	air := v.air * (2*v.random.Float64() - 1)
	x := v.now.voiced*(v.pulse()+0.02*air) + 0.01*v.now.breath*air
	for i := range v.formants {
		x = v.formants[i].run(x)
	}
	return x + 0.035*(v.now.hiss+0.03*v.now.voiced)*v.hissHigh.Step(&v.hissCut, air)
}

// follow moves a millisecond towards the aims, quickly in loudness and more
// slowly in pitch and mouth.
func (v *voice) follow() {
	glide := func(now *float64, aim, milliseconds float64) { *now += (aim - *now) / milliseconds }
	glide(&v.now.voiced, v.aim.voiced, 12)
	glide(&v.now.hiss, v.aim.hiss, 8)
	glide(&v.now.breath, v.aim.breath, 40)
	glide(&v.now.pitchHz, v.aim.pitchHz, 40)
	for i := range v.now.mouth {
		glide(&v.now.mouth[i], v.aim.mouth[i], 20)
	}
	hz := [5]float64{v.now.mouth[0], v.now.mouth[1], v.now.mouth[2], formant4, formant5}
	for i := range v.formants {
		v.formants[i].tune(hz[i], bandwidths[i], v.rateHz)
	}
}

// pulse is the derivative of the flow through the vocal folds: open for 60 %
// of the period, closing faster than opening (the shape of Rosenberg 1971;
// from memory). The derivative stands for the radiation at the lips.
func (v *voice) pulse() float64 {
	v.phase += v.now.pitchHz / v.rateHz
	v.phase -= math.Floor(v.phase)
	flow := 0.0
	const open, peak = 0.6, 0.4
	switch {
	case v.phase < peak:
		flow = 0.5 - 0.5*math.Cos(math.Pi*v.phase/peak)
	case v.phase < open:
		flow = math.Cos(math.Pi / 2 * (v.phase - peak) / (open - peak))
	}
	d := (flow - v.last) * v.rateHz / 4000
	v.last = flow
	return d
}

// resonance is one formant: two poles, gain 1 at 0 Hz.
type resonance struct{ a, b, c, y1, y2 float64 }

func (r *resonance) tune(hz, bandwidthHz, rateHz float64) {
	if hz > 0.45*rateHz { // this sample rate has no room for it
		r.a, r.b, r.c = 1, 0, 0
		return
	}
	radius := math.Exp(-math.Pi * bandwidthHz / rateHz)
	r.c = -radius * radius
	r.b = 2 * radius * math.Cos(2*math.Pi*hz/rateHz)
	r.a = 1 - r.b - r.c
}

func (r *resonance) run(x float64) float64 {
	y := r.a*x + r.b*r.y1 + r.c*r.y2
	r.y1, r.y2 = y, r.y1
	return y
}
