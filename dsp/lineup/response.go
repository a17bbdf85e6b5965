package lineup

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/lineup/sequence"
)

// nominalHz are the nominal midbands of the one-third-octave bands the sweep
// runs through (IEC 61260-1).
var nominalHz = [...]float64{20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630,
	800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000}

// response follows the sweep with a filter that moves along with it, so that
// noise and harmonics stay outside, and gives its level against 1 kHz.
func (r *recording) response(channel int) []Point {
	reference := db.FromAmplitude(r.along(channel, 1000))
	var points []Point
	for _, hz := range nominalHz {
		if hz < 0.46*float64(r.rateHz) {
			points = append(points, Point{hz, db.FromAmplitude(max(r.along(channel, hz), 1e-7)) - reference})
		}
	}
	return points
}

// along is the amplitude of the sweep, against the one sent, while it passes
// hz: the product with the sweep's own phase under a Hann window, long enough
// below 100 Hz for three periods, short above so that neighbours stay apart.
func (r *recording) along(channel int, hz float64) float64 {
	s := sequence.Find(sequence.Sweep)
	width := 0.04
	if hz < 100 {
		width = 0.15
	}
	middle := min(max(sequence.SweepTime(hz), width/2), s.Seconds-width/2)
	x := r.channels[channel]
	begin := r.origin + (s.Start+middle-width/2)*r.perSec
	var re, im, sum float64
	for i := max(0, int(math.Ceil(begin))); i < min(len(x), int(begin+width*r.perSec)); i++ {
		t := (float64(i)-begin)/r.perSec + middle - width/2
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)-begin)/(width*r.perSec))
		sin, cos := math.Sincos(sequence.SweepPhase(t))
		re += w * float64(x[i]) * cos
		im += w * float64(x[i]) * sin
		sum += w
	}
	return 2 * math.Hypot(re, im) / max(sum, 1e-9) / db.ToAmplitude(s.LevelDBFS)
}
