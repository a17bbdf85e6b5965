package rig

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"rollready/dsp/lineup"
	"rollready/dsp/lineup/tone"
	"rollready/presets"
)

// Range of what a camera's meter can be read at, in dBFS.
const (
	lowestReadingDBFS  = -80.0
	highestReadingDBFS = 0.0
)

// Sent says over what a camera was lined up.
type Sent struct {
	Output presets.Output
	Volume presets.Volume // of that output then
	Preset string         // in use then
	At     time.Time
}

// LineUpCamera gives a profile with a figure in it, by one of the rules below,
// and with how it was found.
func LineUpCamera(c presets.Camera, sent Sent, rule func(*presets.Camera) error) (presets.Camera, error) {
	was := c
	if err := rule(&c); err != nil {
		return was, err
	}
	c.LinedUp, c.LinedUpPreset, c.LinedUpVolume = sent.At, sent.Preset, sent.Volume
	if sent.Output.Name != "" {
		c.LinedUpWith = sent.Output
	}
	return c, nil
}

// CameraProfile gives the profile of a name. Where there is none it is one to
// begin with if fresh, else the error says which there are.
func CameraProfile(store *presets.Store, name string, fresh bool) (presets.Camera, error) {
	c, err := store.Cameras.Load(name)
	if !errors.Is(err, presets.ErrNotFound) {
		return c, err
	}
	if fresh {
		return presets.NewCamera(name), nil
	}
	names, err := store.Cameras.List()
	if err != nil {
		return c, err
	}
	there := "none is kept yet"
	if len(names) > 0 {
		there = fmt.Sprintf("there is %q", names)
	}
	return c, fmt.Errorf("no camera %q: %s; add --new to begin one", name, strings.NewReplacer("[", "", "]", "", `" "`, `", "`).Replace(there))
}

// ErrAutomaticLevel says that a line-up holds for nothing.
var ErrAutomaticLevel = errors.New("not kept: the camera's automatic level is on; turn it off and line up again")

// Risen refuses where the tone does not stand at its level yet.
func (s LineState) Risen(set tone.Settings) error {
	switch {
	case s.Sounds != ToneSounds:
		return Refusal("Switch the tone on first: space")
	case s.LevelDBFS != set.LevelDBFS:
		return Refusal("The tone still rises: wait until it stands at its level")
	}
	return nil
}

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
