package survey

import (
	"fmt"
	"math"

	"rollready/dsp/figure"
)

// Verdict is one sentence about which recording is cleaner.
func (c *Comparison) Verdict() string {
	switch c.Cleaner {
	case sideA:
		return "A is cleaner."
	case sideB:
		return "B is cleaner."
	}
	return "Neither is cleaner."
}

// How tells how the two lie to each other.
func (c *Comparison) How() string {
	text := "Both began at the same moment"
	if late := float64(c.LaterS); math.Abs(late) >= 0.0005 {
		text = fmt.Sprintf("B began %.3f s %s than A", math.Abs(late), word(late > 0, "later", "earlier"))
	}
	text += fmt.Sprintf("; they have %.1f s in common. ", float64(c.OverlapS))
	switch ppm := float64(c.DriftPPM); {
	case math.IsNaN(ppm):
		text += "That is too short to compare their clocks."
	case math.Abs(ppm) < 0.5:
		text += "Their clocks agree."
	default:
		text += fmt.Sprintf("B's clock runs %.1f ppm %s, %.0f ms per hour.", math.Abs(ppm), word(ppm > 0, "fast", "slow"), math.Abs(ppm)*3.6)
	}
	if gain := float64(c.GainDB); math.Abs(gain) >= 0.5 {
		text += fmt.Sprintf(" B is %.1f dB %s.", math.Abs(gain), word(gain > 0, "louder", "quieter"))
	}
	if c.Inverted {
		text += " B has the opposite polarity: don't mix them as they are."
	}
	for i, side := range []string{"A", "B"} {
		for _, f := range c.Measured[i].Findings {
			if instead := f.Instead(); instead != "" {
				text += " Of " + side + " the sound that went through the chain overloads. " + instead
			}
		}
	}
	return text
}

func word(first bool, yes, no string) string {
	if first {
		return yes
	}
	return no
}

// Measure is one measure of both recordings in words.
type Measure struct{ Name, A, B string }

// Common is the heading of the table: which part of the recordings it is of.
func (c *Comparison) Common() string {
	return fmt.Sprintf("In the %.1f s that both have", float64(c.OverlapS))
}

// Table lists what was compared, of the part that both have in common.
func (c *Comparison) Table() []Measure {
	both := func(name string, of func(Side) string) Measure {
		return Measure{name, of(c.Sides[0]), of(c.Sides[1])}
	}
	return []Measure{
		both("Noise under the loudness", func(s Side) string { return underLoudness(s.NoiseDB) }),
		both("Hum under the loudness", func(s Side) string { return underLoudness(s.HumDB) }),
		both("Overloads", func(s Side) string { return fmt.Sprint(s.Overloads) }),
		both("Holes", func(s Side) string { return fmt.Sprint(s.Dropouts) }),
		both("Keeps up with the other", func(s Side) string { return hertz(s.LowHz) + " to " + hertz(s.HighHz) }),
		both("True peak", func(s Side) string { return s.TruePeakDBTP.String() + " dBTP" }),
	}
}

// underLoudness writes a level that lies under the loudness.
func underLoudness(f figure.Figure) string {
	if !f.Known() {
		return "none"
	}
	return (-f).String() + " dB"
}
