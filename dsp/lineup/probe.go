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
	return p.tones([4]float64{turnsPerFrame})[0]
}

// tones measures four at once, which takes little longer than one: the
// recursions wait for their own last step, not for each other.
func (p *probe) tones(turnsPerFrame [4]float64) (found [4]complex128) {
	var c, s1, s2 [4]float64
	for k, turns := range turnsPerFrame {
		c[k] = 2 * math.Cos(2*math.Pi*turns)
	}
	a1, b1, c1, d1 := s1[0], s1[1], s1[2], s1[3]
	a2, b2, c2, d2 := s2[0], s2[1], s2[2], s2[3]
	for _, x := range p.windowed {
		a1, a2 = x+c[0]*a1-a2, a1
		b1, b2 = x+c[1]*b1-b2, b1
		c1, c2 = x+c[2]*c1-c2, c1
		d1, d2 = x+c[3]*d1-d2, d1
	}
	s1, s2 = [4]float64{a1, b1, c1, d1}, [4]float64{a2, b2, c2, d2}
	for k, turns := range turnsPerFrame {
		w := 2 * math.Pi * turns
		y := complex(s1[k], 0) - cmplx.Exp(complex(0, -w))*complex(s2[k], 0)
		y *= cmplx.Exp(complex(0, -w*float64(len(p.windowed)-1))) * complex(0, 1)
		found[k] = y * complex(2/max(p.sum, 1e-9), 0)
	}
	return found
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
	var first complex128
	var harmonics, noise float64
	count, probes := 0.0, 0.0
	for k := 1; k <= highestHarmonic && (float64(k)+0.5)*tone < 0.45; k += 2 {
		h := float64(k)
		found := p.tones([4]float64{h * tone, (h + 0.5) * tone, (h + 1) * tone, (h + 1.5) * tone})
		if k == 1 {
			first = found[0]
		} else {
			harmonics += square(found[0])
			count++
		}
		noise += square(found[1])
		probes++
		if (h+1.5)*tone < 0.45 {
			harmonics, noise = harmonics+square(found[2]), noise+square(found[3])
			count, probes = count+1, probes+1
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
