package lineup

import (
	"math"
	"math/cmplx"
)

// probe measures tones in a stretch of sound under a Hann window, one
// frequency at a time (Goertzel's recursion).
type probe struct {
	windowed []float64
	sum      float64 // of the window
}

// load takes a stretch of sound.
func (p *probe) load(x []float32) {
	if cap(p.windowed) < len(x) {
		p.windowed = make([]float64, len(x))
	}
	p.windowed, p.sum = p.windowed[:len(x)], 0
	turn := cmplx.Exp(complex(0, 2*math.Pi/float64(max(1, len(x)))))
	at := cmplx.Sqrt(turn) // half a frame in: symmetric
	for i, v := range x {
		w := 0.5 - 0.5*real(at)
		p.windowed[i] = w * float64(v)
		p.sum += w
		at *= turn
	}
}

// tone gives the complex amplitude of the tone of so many turns per frame:
// its absolute is the peak amplitude of a sine, its phase that of a sine at
// the first frame.
func (p *probe) tone(turnsPerFrame float64) complex128 {
	w := 2 * math.Pi * turnsPerFrame
	c := 2 * math.Cos(w)
	s1, s2 := 0.0, 0.0
	for _, x := range p.windowed {
		s1, s2 = x+c*s1-s2, s1
	}
	y := complex(s1, 0) - cmplx.Exp(complex(0, -w))*complex(s2, 0)
	y *= cmplx.Exp(complex(0, -w*float64(len(p.windowed)-1))) * complex(0, 1)
	return y * complex(2/max(p.sum, 1e-9), 0)
}

// reading is what a probe finds of the 1 kHz tone.
type reading struct {
	amplitude float64 // peak amplitude, cleared of noise
	harmonics float64 // root of the harmonics' summed squares, cleared of noise
	noise     float64 // amplitude that noise alone would show at one frequency
}

const highestHarmonic = 10

// read measures tone, harmonics 2 to 10 below 45 % of the sample rate, and
// the noise half-way between them. tone is in turns per frame.
func (p *probe) read(x []float32, tone float64) reading {
	p.load(x)
	first := p.tone(tone)
	var harmonics, noise float64
	count, probes := 0.0, 0.0
	for k := 1; k <= highestHarmonic && (float64(k)+0.5)*tone < 0.45; k++ {
		noise += square(p.tone((float64(k) + 0.5) * tone))
		probes++
		if k > 1 {
			harmonics += square(p.tone(float64(k) * tone))
			count++
		}
	}
	noise /= max(1, probes)
	return reading{
		amplitude: math.Sqrt(max(0, square(first)-noise)),
		harmonics: math.Sqrt(max(0, harmonics-count*noise)),
		noise:     math.Sqrt(noise),
	}
}

// level measures the tone alone: its amplitude.
func (p *probe) level(x []float32, tone float64) float64 {
	p.load(x)
	return cmplx.Abs(p.tone(tone))
}

func square(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// distortion is the harmonics against the fundamental, as a ratio.
func (r reading) distortion() float64 {
	if r.amplitude <= 0 {
		return 0
	}
	return r.harmonics / r.amplitude
}

// above is how far the tone stands above the noise at one frequency, as a ratio.
func (r reading) above() float64 { return r.amplitude / max(r.noise, 1e-9) }
