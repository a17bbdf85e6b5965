package match

import (
	"math"

	"rollready/dsp/internal/fft"
)

const (
	// WaveHz is the rate at which waves are compared.
	WaveHz    = 16000
	waveS     = 1.5  // compared at each place
	wideS     = 0.25 // searched on either side at first
	nearS     = 0.01 // and once the clocks are known
	waveSize  = 32768
	clear6    = 6.5  // a peak so many times the rms of a correlation is no chance
	clearNear = 5.0  // the same, of a correlation that is short and mostly peak
	unlike    = 0.75 // the other polarity fits so much worse
	faint     = 1e-7 // amplitude: what stays under it is silence
	taperPart = 0.05 // of a window, at each end
)

// Sound gives the waves of a recording. One goroutine uses it.
type Sound interface {
	// Window fills dst with the sound at WaveHz: sample i is that of the
	// moment atS + i/WaveHz·(1+ppm·10⁻⁶), in seconds of the recording; silence
	// before its begin and after its end.
	Window(dst []float64, atS, ppm float64) error
}

// band is where waves are compared.
type band struct{ lowHz, highHz float64 }

var (
	firstBand = band{300, 2500} // clocks may differ by so much that higher ones blur
	exactBand = band{300, 6000}
)

// peak is where one wave lies in another.
type peak struct {
	lag      float64 // samples
	clear    float64 // height over the rms of the correlation
	strength float64 // 1: the same but for gain and filters
	inverted bool
}

// comparer compares waves by the phases of their common spectrum, so that
// filters and levels do not matter (the phase transform, as in Knapp and
// Carter 1976). One goroutine uses it.
type comparer struct {
	plan *fft.Plan
	z    []complex128
	x, y []float64
}

func newComparer() *comparer {
	return &comparer{plan: fft.New(waveSize), z: make([]complex128, waveSize),
		x: make([]float64, int(waveS*WaveHz)), y: make([]float64, 0, waveSize)}
}

// at compares the wave of the clip at a moment with what the take holds there,
// so many seconds on either side searched. The lag counts from where the fit
// says.
func (c *comparer) at(clip, take Sound, f Fit, atS, slackS float64, b band) (peak, error) {
	c.y = c.y[:len(c.x)+2*int(slackS*WaveHz)]
	if err := clip.Window(c.x, atS, 0); err != nil {
		return peak{}, err
	}
	if err := take.Window(c.y, f.TakeS(atS)-slackS, f.PPM); err != nil {
		return peak{}, err
	}
	p := c.find(b)
	p.lag -= slackS * WaveHz
	return p, nil
}

// find gives where in y the wave x lies.
func (c *comparer) find(b band) peak {
	if highest(c.x) < faint || highest(c.y) < faint {
		return peak{}
	}
	clear(c.z)
	taper(c.x)
	for i, v := range c.y {
		c.z[i] = complex(0, v)
	}
	for i, v := range c.x {
		c.z[i] += complex(v, 0)
	}
	c.plan.Transform(c.z)
	used := c.whiten(b)
	c.plan.Transform(c.z)
	return c.top(c.z[:len(c.y)-len(c.x)+1], used)
}

// whiten replaces the transform of x + iy by X·conj(Y) of magnitude 1 within
// the band; its transform is the correlation.
func (c *comparer) whiten(b band) (used int) {
	n := len(c.z)
	low, high := int(b.lowHz*float64(n)/WaveHz), int(b.highHz*float64(n)/WaveHz)
	c.z[0], c.z[n/2] = 0, 0
	for k := 1; k < n/2; k++ {
		u, v := c.z[k], c.z[n-k]
		v = complex(real(v), -imag(v))
		x, y := (u+v)/2, (u-v)/2
		y = complex(imag(y), -real(y))
		cross := x * complex(real(y), -imag(y))
		magnitude := math.Sqrt(real(cross)*real(cross) + imag(cross)*imag(cross))
		if k < low || k > high || magnitude == 0 {
			c.z[k], c.z[n-k] = 0, 0
			continue
		}
		used++
		cross /= complex(magnitude, 0)
		c.z[k], c.z[n-k] = cross, complex(real(cross), -imag(cross))
	}
	return used
}

func (c *comparer) top(z []complex128, used int) peak {
	high, low, square := 0, 0, 0.0
	for i, v := range z {
		r := real(v)
		square += r * r
		if r > real(z[high]) {
			high = i
		}
		if r < real(z[low]) {
			low = i
		}
	}
	best := high
	if -real(z[low]) > real(z[high]) {
		best = low
	}
	rms := math.Sqrt(square / float64(len(z)))
	height := math.Abs(real(z[best]))
	return peak{
		lag:      float64(best) + fft.Between(z, best),
		clear:    height / max(rms, 1e-300),
		strength: height / (2 * float64(max(1, used))),
		// Filters turn the phase: both polarities then fit about as well.
		inverted: best == low && real(z[high]) < unlike*height,
	}
}

// taper fades the ends, so that the cut does not count as sound.
func taper(x []float64) {
	n := int(taperPart * float64(len(x)))
	for i := range n {
		w := 0.5 - 0.5*math.Cos(math.Pi*(float64(i)+0.5)/float64(n))
		x[i] *= w
		x[len(x)-1-i] *= w
	}
}

func highest(x []float64) float64 {
	top := 0.0
	for _, v := range x {
		top = max(top, v, -v)
	}
	return top
}
