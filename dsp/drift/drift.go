// Package drift keeps a buffer between two clocks at its level: it watches
// how full the buffer is and says by how many parts per million the reading
// side should hurry.
package drift

import "math"

// The loop is quick at first, to learn the difference of the clocks, and then
// slows down, so that the jumps of the fill from block to block leave no
// wobble. Its speed is an angular frequency: it settles within about 4/speed.
const (
	fastest   = 0.125 // rad/s, at the start
	slowest   = 0.015
	slowing   = 3.0    // times slower than it could slow down
	smoothing = 0.08   // time constant of each of two smoothing stages, times the speed
	maxPPM    = 2000.0 // the two clocks never differ by so much

	// What was learnt is told as a mean of the newest part of the time since the
	// start. Callbacks like clockwork hide the difference until a block slips, and
	// the loop swings around it.
	newest  = 1.0 / 3
	longest = 600.0 // seconds
)

// Controller is a proportional-integral controller with the damping 1. For a
// buffer of f frames read at rate·(1+p·10⁻⁶), with clocks d ppm apart,
// df/dt = rate·10⁻⁶·(d−p); hence the gains. One goroutine or audio thread
// uses it.
type Controller struct {
	rateHz, target float64
	seconds        float64 // since the start
	smooth         [2]float64
	sum, ppm       float64
	learnt         float64
}

// New makes a controller that keeps the fill at target frames.
func New(rateHz int, target float64) *Controller {
	return &Controller{rateHz: float64(rateHz), target: target}
}

// Update takes the fill, in frames, found after so many frames were read
// since the last call, and gives the new correction: positive reads faster.
// Audio thread: does not allocate.
func (c *Controller) Update(fill float64, elapsed int) float64 {
	seconds := float64(elapsed) / c.rateHz
	c.seconds += seconds
	speed := max(slowest, 1/(1/fastest+c.seconds/slowing))
	e := fill - c.target
	k := 1 - math.Exp(-seconds*speed/smoothing)
	for i := range c.smooth {
		c.smooth[i] += k * (e - c.smooth[i])
		e = c.smooth[i]
	}
	perPPM := c.rateHz * 1e-6 // frames per second
	c.sum = clamp(c.sum + speed*speed/perPPM*e*seconds)
	c.ppm = clamp(c.sum + 2*speed/perPPM*e)
	c.learnt += (c.sum - c.learnt) * min(1, seconds/min(c.seconds*newest, longest))
	return c.ppm
}

// PPM is the present correction.
func (c *Controller) PPM() float64 { return c.ppm }

// Fill is the fill, smoothed.
func (c *Controller) Fill() float64 { return c.target + c.smooth[1] }

// DriftPPM is what was learnt of the clocks: how much faster the writing side
// runs. It is calmer than PPM.
func (c *Controller) DriftPPM() float64 { return c.learnt }

// Refill forgets the fill but keeps what was learnt of the clocks: for after
// a dropout, when the buffer is at the target, which may be a new one.
func (c *Controller) Refill(target float64) { c.smooth, c.target = [2]float64{}, target }

func clamp(ppm float64) float64 { return max(-maxPPM, min(maxPPM, ppm)) }
