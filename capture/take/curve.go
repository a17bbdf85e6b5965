package take

import (
	"math"

	"rollready/dsp/db"
)

// Picture is what a report draws of a take.
type Picture struct {
	StepSeconds float64   `toml:"step_seconds"` // between points of the curves
	PeakDBFS    []float64 `toml:"peak_dbfs"`    // highest sample of the output in each step
	RMSDBFS     []float64 `toml:"rms_dbfs"`     // of the output in each step, AES17
	BandHz      []float64 `toml:"band_hz"`      // nominal midbands
	BandDBFS    []float64 `toml:"band_dbfs"`    // mean level of the output in each band, AES17
}

// maxPoints bounds the curves: when they are full, two points become one.
const maxPoints = 400

// curve follows the level over time in flat memory.
type curve struct {
	rateHz int
	step   int // frames per point
	points []point
	now    point
}

type point struct {
	peak   float64
	square float64 // sum over samples
	count  int     // samples
}

func newCurve(rateHz int) *curve {
	return &curve{rateHz: rateHz, step: rateHz / 10, points: make([]point, 0, maxPoints)}
}

// process takes interleaved frames.
func (c *curve) process(block []float32, channels int) {
	for ; len(block) >= channels; block = block[channels:] {
		var peak, square float64
		for _, x := range block[:channels] {
			v := float64(x)
			peak, square = max(peak, math.Abs(v)), square+v*v
		}
		c.add(peak, square/float64(channels))
	}
}

// add takes the mean square of one frame and its highest magnitude.
func (c *curve) add(peak, square float64) {
	c.now.peak = max(c.now.peak, peak)
	c.now.square += square
	c.now.count++
	if c.now.count < c.step {
		return
	}
	if len(c.points) == maxPoints {
		c.halve()
	}
	c.points = append(c.points, c.now)
	c.now = point{}
}

// halve makes one point out of two. The point just ended is half of a new one
// then, but the curve is a picture, not a measure.
func (c *curve) halve() {
	for i := range maxPoints / 2 {
		a, b := c.points[2*i], c.points[2*i+1]
		c.points[i] = point{max(a.peak, b.peak), a.square + b.square, a.count + b.count}
	}
	c.points = c.points[:maxPoints/2]
	c.step *= 2
}

func (c *curve) picture() Picture {
	p := Picture{StepSeconds: float64(c.step) / float64(c.rateHz)}
	points := c.points
	if len(points) == 0 && c.now.count > 0 {
		points = []point{c.now}
	}
	for _, x := range points {
		p.PeakDBFS = append(p.PeakDBFS, tenth(db.FromAmplitude(x.peak)))
		p.RMSDBFS = append(p.RMSDBFS, tenth(db.RMS(x.square/float64(x.count))))
	}
	return p
}

func tenth(x float64) float64 { return math.Round(10*x) / 10 }

// gap takes frames of silence.
func (c *curve) gap(frames int64) {
	for range frames {
		c.add(0, 0)
	}
}
