// Package howl hears a microphone and a loudspeaker feed on each other: one
// narrow tone that grows and grows, evenly in decibels, as a loop with more
// gain than loss does. Voices and instruments start, waver and carry
// overtones; a test tone stands still. A loop with a long way round howls in
// two or three tones close together, which beat once per round: so the tone
// may waver a little, and its level is averaged over some rounds.
//
// A tone faded in over more than a third of a second is a howl as far as any
// listener could tell, and is taken for one.
//
// Where drops in the sound keep a howl from growing evenly, it still ends past
// full scale. Sound that stays there for a second without a pause is no voice
// either, and fires too.
package howl

import (
	"fmt"
	"math"

	"rollready/dsp/internal/fft"
)

const (
	frameSeconds = 0.043 // spectrum length, rounded to a power of two
	perFrame     = 4     // spectra per spectrum length
	lowestHz     = 60.0  // below is rumble
	overload     = 1.05  // amplitude no device can play
	mostOver     = 1.0   // seconds past it, in each quarter of a spectrum length
	skirt        = 3     // bins on each side that belong to a tone: the main lobe of the Hann window and a little
)

// Alarm says why the guard fired.
type Alarm struct {
	Hz          float64 // of the tone that grew; 0: the sound stayed past full scale
	LevelDBFS   float64 // of the tone, AES17
	DBPerSecond float64 // growth
	Frame       int64   // frames processed until then
}

// String is the alarm in words for the screen.
func (a Alarm) String() string {
	if a.Hz == 0 {
		return "past full scale for a second: turn the speaker or the gain down or move the mic away, then unmute"
	}
	return fmt.Sprintf("feedback at %.0f Hz, growing %.0f dB per second: turn the speaker down or move the mic away, then unmute", a.Hz, a.DBPerSecond)
}

// Guard listens to one stream. One goroutine or audio thread uses it.
type Guard struct {
	rateHz   float64
	channels int
	plan     *fft.Plan
	window   []float64
	ring     [][2]float32 // the last frames, up to two channels
	at, due  int          // where the next frame goes; frames until the next spectrum
	spectrum []complex128
	power    []float64
	track    track
	peak     float32 // since the last spectrum
	over     int     // spectra in a row that were past full scale
	frames   int64
}

// New makes a guard for interleaved blocks; it hears the first two channels.
func New(rateHz, channels int) *Guard {
	n := 64
	for float64(n)*1.4 < frameSeconds*float64(rateHz) {
		n *= 2
	}
	g := &Guard{rateHz: float64(rateHz), channels: channels, plan: fft.New(n), window: make([]float64, n),
		ring: make([][2]float32, n), spectrum: make([]complex128, n), power: make([]float64, n/2)}
	for i := range g.window {
		g.window[i] = 1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
	}
	g.track.hopSeconds = float64(n) / perFrame / float64(rateHz)
	g.Reset()
	return g
}

// Reset forgets what was heard.
func (g *Guard) Reset() {
	clear(g.ring)
	g.at, g.due, g.frames = 0, len(g.ring)/perFrame, 0
	g.track = track{hopSeconds: g.track.hopSeconds}
	g.peak, g.over = 0, 0
}

// Process listens to interleaved frames and tells whether a howl is going on.
// Audio thread: does not allocate, lock or block.
func (g *Guard) Process(block []float32) (Alarm, bool) {
	var alarm Alarm
	fired := false
	right := min(1, g.channels-1)
	for len(block) >= g.channels {
		l, r := block[0], block[right]
		if g.channels == 1 {
			r = 0
		}
		g.ring[g.at] = [2]float32{l, r}
		g.peak = max(g.peak, l, -l, r, -r)
		g.at = (g.at + 1) % len(g.ring)
		g.frames++
		block = block[g.channels:]
		if g.due--; g.due == 0 {
			g.due = len(g.ring) / perFrame
			if a, ok := g.look(); ok {
				alarm, fired = a, true
			}
		}
	}
	return alarm, fired
}

// look takes a spectrum of the last frames and follows its greatest tone.
func (g *Guard) look() (Alarm, bool) {
	n := len(g.ring)
	for i := range n {
		v := g.ring[(g.at+i)%n]
		g.spectrum[i] = complex(float64(v[0])*g.window[i], float64(v[1])*g.window[i])
	}
	g.plan.Transform(g.spectrum)
	// with the channels as real and imaginary part, this is the sum of their powers
	for k := 1; k < n/2; k++ {
		g.power[k] = (square(g.spectrum[k]) + square(g.spectrum[n-k])) / 2
	}
	g.track.add(g.greatest())
	a, ok := g.track.growing()
	if stuck := g.stuck(); stuck && !ok {
		a, ok = Alarm{LevelDBFS: g.track.back(0).levelDBFS}, true
	}
	a.Frame = g.frames
	return a, ok
}

// stuck tells whether the sound has been past full scale for too long.
func (g *Guard) stuck() bool {
	if g.peak > overload {
		g.over++
	} else {
		g.over = 0
	}
	g.peak = 0
	return float64(g.over)*g.track.hopSeconds >= mostOver
}

func square(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// greatest measures the strongest tone of the spectrum.
func (g *Guard) greatest() tone {
	width := g.rateHz / float64(len(g.ring))
	low := max(skirt+1, int(lowestHz/width))
	top, all := low, 0.0
	for k := low - skirt; k < len(g.power); k++ {
		all += g.power[k]
		if g.power[k] > g.power[top] && k >= low && k < len(g.power)-skirt {
			top = k
		}
	}
	own := 0.0
	for k := top - skirt; k <= top+skirt; k++ {
		own += g.power[k]
	}
	if !(own > 0) || math.IsInf(own, 0) {
		return tone{levelDBFS: math.Inf(-1)}
	}
	n := float64(len(g.ring))
	// a sine of amplitude 1 has Σ|X|² = n²·1.5/4 over its lobe, the window being 1 − cos
	return tone{hz: (float64(top) + peakOffset(g.power[top-1], g.power[top], g.power[top+1])) * width,
		levelDBFS: 10 * math.Log10(own/(n*n*1.5/4)), purity: own / all}
}

// peakOffset places the top of a parabola through three levels, in bins.
func peakOffset(a, b, c float64) float64 {
	la, lb, lc := math.Log(a+1e-300), math.Log(b), math.Log(c+1e-300)
	if d := la - 2*lb + lc; d < 0 {
		return max(-0.5, min(0.5, (la-lc)/(2*d)))
	}
	return 0
}
