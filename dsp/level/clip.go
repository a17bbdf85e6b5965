package level

import "math"

// The largest positive codes of 16 and 24 bits as amplitudes.
const (
	full16 = 32767.0 / 32768
	full24 = 8388607.0 / 8388608
)

// clipRuns counts runs of 3 or more successive frames at full scale (common
// practice, no source). A frame is at full scale from the largest 24-bit code
// up. From the largest 16-bit code up it is where it equals the frame before:
// a 16-bit converter at its stop repeats that code, a loud signal with more
// bits does not.
type clipRuns struct {
	last  float64
	run   int
	count int64
}

// process takes the samples of one channel, whose peak is known: below full
// scale there is nothing to count.
func (c *clipRuns) process(block []float32, first, stride int, peak float64) {
	if peak < full16 {
		c.run, c.last = 0, 0
		return
	}
	for i := first; i < len(block); i += stride {
		c.push(math.Abs(finite(block[i])))
	}
}

// push takes the next amplitude, |x|.
func (c *clipRuns) push(a float64) {
	if a < full16 {
		c.run, c.last = 0, 0
		return
	}
	if a >= full24 || a == c.last || c.run == 0 {
		c.run++
	} else {
		c.run = 1
	}
	c.last = a
	if c.run == 3 {
		c.count++
	}
}
