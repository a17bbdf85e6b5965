package mend

import (
	"math"

	"rollready/dsp/internal/fft"
)

const (
	toneSize  = 16384 // frames of a spectrum
	smooth    = 0.16  // octaves on either side that a gain is the mean of
	mostGain  = 30.0  // dB
	leastGain = -60.0
	explained = 0.5 // of the camera's power at least, for the filter to hold the room, too
	leastSeen = 6   // spectra
)

// Ahead and Behind are how many frames of the take Apply needs after and
// before those that it makes: the filter holds the camera's room, which comes
// after the voice.
const (
	Ahead  = 512
	Behind = 4096
)

// Tone finds the filter that makes a take sound like a camera, from stretches
// in which the camera's sound is good. One goroutine uses it.
type Tone struct {
	plan            *fft.Plan
	z               []complex128
	window          []float64
	cross           []complex128 // sum of camera · conj(take)
	cam, take       []float64    // sums of powers
	quiet           []float64    // of the camera, where nobody speaks
	seen, quietOnes float64
	loudest         float64
}

// NewTone makes one.
func NewTone() *Tone {
	const half = toneSize / 2
	t := &Tone{plan: fft.New(toneSize), z: make([]complex128, toneSize), window: make([]float64, toneSize),
		cross: make([]complex128, half), cam: make([]float64, half), take: make([]float64, half), quiet: make([]float64, half)}
	for i := range t.window {
		t.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/toneSize)
	}
	return t
}

// Add takes a good stretch of both, of equal length. One shorter than a
// spectrum lies in the middle of silence.
func (t *Tone) Add(cam, take []float32) {
	before := max(0, toneSize-len(cam)) / 2
	for at := 0; at == 0 || at+toneSize <= len(cam); at += toneSize / 4 {
		clear(t.z)
		power := 0.0
		for i := range min(toneSize, len(cam)-at) {
			w := t.window[before+i]
			y := w * float64(take[at+i])
			t.z[before+i] = complex(w*float64(cam[at+i]), y)
			power += y * y
		}
		t.plan.Transform(t.z)
		t.loudest = max(t.loudest, power)
		t.sum(power < 3e-4*t.loudest)
	}
}

func (t *Tone) sum(quiet bool) {
	for k := 1; k < toneSize/2; k++ {
		u, v := t.z[k], t.z[toneSize-k]
		v = complex(real(v), -imag(v))
		x, y := (u+v)/2, (u-v)/2
		y = complex(imag(y), -real(y))
		px, py := real(x)*real(x)+imag(x)*imag(x), real(y)*real(y)+imag(y)*imag(y)
		if quiet {
			t.quiet[k] += px
			continue
		}
		t.cross[k] += x * complex(real(y), -imag(y))
		t.cam[k], t.take[k] = t.cam[k]+px, t.take[k]+py
	}
	if quiet {
		t.quietOnes++
	} else {
		t.seen++
	}
}

// Filter gives the taps for Apply. Where the waves of the two are alike enough
// it is the least-squares filter (Wiener), which holds tone, level, polarity
// and room of the camera; else one of the same tone and polarity, without phase. ok is
// false where too little was heard.
func (t *Tone) Filter() (taps []float64, ok bool) {
	if t.seen < leastSeen {
		return nil, false
	}
	gains, share := t.wiener()
	if share < explained {
		gains = t.tone()
	}
	return t.impulse(gains), true
}

// wiener gives the gains, and how much of the camera's power they explain.
func (t *Tone) wiener() (gains []complex128, share float64) {
	gains = make([]complex128, len(t.cross))
	least := 1e-6 * mean(t.take)
	var all, told float64
	for k := 1; k < len(gains); k++ {
		gains[k] = t.cross[k] / complex(t.take[k]+least, 0)
		c := t.cross[k]
		told += (real(c)*real(c) + imag(c)*imag(c)) / (t.take[k] + least)
		all += t.cam[k]
	}
	return gains, told / max(all, 1e-30)
}

// tone compares the powers, less the camera's noise.
func (t *Tone) tone() []complex128 {
	gains := make([]complex128, len(t.cross))
	noise, sign := t.seen/max(1, t.quietOnes), 0.0
	for _, c := range t.cross {
		sign += real(c)
	}
	sign = math.Copysign(1, sign)
	for k := range gains {
		low, high := around(k)
		c, n, x := mean(t.cam[low:high]), noise*mean(t.quiet[low:high]), mean(t.take[low:high])
		if x > 0 {
			g := 10 * math.Log10(max(c-n, 0.02*c, 1e-30)/x)
			gains[k] = complex(sign*math.Pow(10, max(leastGain, min(mostGain, g))/20), 0)
		}
	}
	gains[0] = gains[1]
	return gains
}

func around(k int) (low, high int) {
	low = int(float64(k) * math.Pow(2, -smooth))
	high = int(float64(k)*math.Pow(2, smooth)) + 1
	return max(1, min(low, k-1)), min(toneSize/2, max(high, k+2))
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(1, len(x)))
}

// impulse gives the filter's response from Ahead frames before to Behind
// frames after the moment, its ends faded.
func (t *Tone) impulse(gains []complex128) []float64 {
	n := toneSize
	clear(t.z)
	for k := 1; k < n/2; k++ {
		// The transform of the conjugate, conjugated, is the inverse.
		t.z[k], t.z[n-k] = complex(real(gains[k]), -imag(gains[k])), gains[k]
	}
	t.z[0] = complex(real(gains[0]), 0)
	t.plan.Transform(t.z)
	taps := make([]float64, Ahead+1+Behind)
	for i := range taps {
		k := i - Ahead
		edge := float64(-k) / Ahead
		if k > 0 {
			edge = float64(k) / Behind
		}
		w := 1.0
		if edge > 0.5 {
			w = 0.5 + 0.5*math.Cos(2*math.Pi*(edge-0.5))
		}
		taps[i] = w * real(t.z[(k+n)%n]) / float64(n)
	}
	return taps
}

// Unity is a filter that only changes the level.
func Unity(gain float64) []float64 {
	taps := make([]float64, Ahead+1+Behind)
	taps[Ahead] = gain
	return taps
}

// Apply filters the take; x has Behind frames more before and Ahead more after
// than dst.
func Apply(dst, x []float32, taps []float64) {
	for i := range dst {
		sum := 0.0
		// taps[Ahead] belongs to x[i+Behind], later taps to earlier frames.
		y := x[i : i+len(taps)]
		for k, h := range taps {
			sum += h * float64(y[len(y)-1-k])
		}
		dst[i] = float32(sum)
	}
}
