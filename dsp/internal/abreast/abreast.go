// Package abreast runs the two channels of a pair side by side through the
// sections of a weighting and sums up what comes out.
package abreast

import (
	"math"

	"rollready/dsp/filter"
)

const most = 3 // sections

// Cascade is two or three sections in a row, with their memory in transposed
// direct form II, for two channels. Not safe for concurrent use.
type Cascade struct {
	Sums
	coefficients [most][5][2]float64 // B0, B1, B2, A1, A2, of each channel
	memory       [most][2][2]float64
	offset       [2]float64
	three        bool
}

// Sums are those over frames, of each channel: of the samples, their squares,
// and the squares of what leaves the sections.
type Sums struct{ DC, Flat, Power [2]float64 }

// New makes a cascade of two or three sections. The offset is added before them.
func New(offset float64, sections ...filter.Biquad) *Cascade {
	c := &Cascade{offset: [2]float64{offset, offset}, three: len(sections) == most}
	for i, s := range sections {
		for k, b := range [5]float64{s.B0, s.B1, s.B2, s.A1, s.A2} {
			c.coefficients[i][k] = [2]float64{b, b}
		}
	}
	return c
}

// Add takes frames of two channels. Values that are not finite count as silence.
// Only where Fast; it does not allocate.
func (c *Cascade) Add(frames []float32) { add(c, frames[:len(frames)&^1], c.three) }

// Take gives the sums since the last call.
func (c *Cascade) Take() Sums {
	s := c.Sums
	c.Sums = Sums{}
	return s
}

// Reset forgets everything.
func (c *Cascade) Reset() { c.Sums, c.memory = Sums{}, [most][2][2]float64{} }

// Calm ends a decay below so much before it reaches denormal numbers, which are
// slow.
func (c *Cascade) Calm(least float64) {
	for i := range c.memory {
		for k := range c.memory[i] {
			for ch, v := range c.memory[i][k] {
				if math.Abs(v) < least {
					c.memory[i][k][ch] = 0
				}
			}
		}
	}
}
