package rig

import (
	"rollready/dsp/lineup"
	"rollready/presets"
)

// ReadOff is what was read off a camera, in order, as what it does to a
// profile.
type ReadOff struct {
	Volume presets.Volume // of the output when it was read
	rules  []func(*presets.Camera) error
}

// Meter takes what the meter read at a level of the tone; the error says why it
// is no reading, and nothing is taken.
func (r *ReadOff) Meter(sentDBFS, readsDBFS float64) error {
	rule := func(c *presets.Camera) error { return LineUpByReading(c, sentDBFS, readsDBFS) }
	if err := rule(&presets.Camera{}); err != nil {
		return err
	}
	r.rules = append(r.rules, rule)
	return nil
}

// ClipMark takes that the clip mark lit at a level of the tone.
func (r *ReadOff) ClipMark(sentDBFS float64) {
	r.rules = append(r.rules, func(c *presets.Camera) error { return LineUpByClipMark(c, sentDBFS) })
}

// Clip takes what a clip of the sequence told.
func (r *ReadOff) Clip(result lineup.Result) {
	r.rules = append(r.rules, func(c *presets.Camera) error { return LineUpByClip(c, result) })
}

// None tells that nothing was read.
func (r *ReadOff) None() bool { return len(r.rules) == 0 }

// Into gives the profile with all of it, and with over what it was found.
func (r *ReadOff) Into(c presets.Camera, sent Sent) (presets.Camera, error) {
	sent.Volume = r.Volume
	for _, rule := range r.rules {
		var err error
		if c, err = LineUpCamera(c, sent, rule); err != nil {
			return c, err
		}
	}
	return c, nil
}
