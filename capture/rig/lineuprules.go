package rig

import (
	"errors"
	"fmt"

	"rollready/dsp/lineup"
	"rollready/presets"
)

// Range of what a camera's meter can be read at, in dBFS.
const (
	lowestReadingDBFS  = -80.0
	highestReadingDBFS = 0.0
)

// ErrAutomaticLevel says that a line-up holds for nothing.
var ErrAutomaticLevel = errors.New("not kept: the camera's automatic level is on; turn it off and line up again")

// LineUpByReading takes into a profile what the camera's meter reads, in dBFS,
// for a tone of sentDBFS. What an earlier clip told no longer holds.
func LineUpByReading(c *presets.Camera, sentDBFS, readsDBFS float64) error {
	if !(readsDBFS >= lowestReadingDBFS && readsDBFS <= highestReadingDBFS) {
		return fmt.Errorf("%g is no reading of a camera's meter: it lies from %g to %g dBFS, write it with its minus, like -14",
			readsDBFS, lowestReadingDBFS, highestReadingDBFS)
	}
	c.Scale.OffsetDB, c.LineUp = readsDBFS-sentDBFS, nil
	return nil
}

// LineUpByClipMark takes into a profile that the camera's clip mark lit at a
// tone of sentDBFS. Without a reading nobody knows where that is on its meter.
func LineUpByClipMark(c *presets.Camera, sentDBFS float64) error {
	if c.LinedUp.IsZero() {
		return Refusal("First enter what the meter reads, at a level that does not clip")
	}
	c.Scale.ClipDBFS = min(sentDBFS+c.Scale.OffsetDB, 0)
	return nil
}

// LineUpByClip takes into a profile all that a clip told, unless it was made
// under automatic level: its offset holds for nothing.
func LineUpByClip(c *presets.Camera, result lineup.Result) error {
	if result.AutomaticLevel.On {
		return ErrAutomaticLevel
	}
	c.Scale, c.LineUp = result.Scale(), &result
	return nil
}
