package rig

import (
	"cmp"
	"errors"
	"fmt"

	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/presets"
)

// farthestDB is how far camera and output may read apart, and how low anything
// on a camera's meter may be set.
const (
	farthestDB       = 80.0
	lowestTargetDBFS = -60.0
)

// SetOffset sets what the camera's meter reads above our output, in dB.
func SetOffset(c *presets.Camera, db float64) error {
	if !(db >= -farthestDB && db <= farthestDB) {
		return fmt.Errorf("%g dB: an offset lies from -%g to %g dB", db, farthestDB, farthestDB)
	}
	c.Scale.OffsetDB = db
	return nil
}

// SetClip sets where the camera clips, in dBFS on its own meter.
func SetClip(c *presets.Camera, dbfs float64) error {
	if !(dbfs >= -farthestDB && dbfs <= 0) {
		return fmt.Errorf("%g dBFS: a clip point lies from -%g to 0 dBFS on the camera's meter", dbfs, farthestDB)
	}
	c.Scale.ClipDBFS = dbfs
	return nil
}

// SetTarget sets where speech peaks should sit, in dBFS on the camera's meter.
func SetTarget(c *presets.Camera, lowDBFS, highDBFS float64) error {
	s := c.Scale
	s.TargetLowDBFS, s.TargetHighDBFS = lowDBFS, highDBFS
	if !s.Valid() || lowDBFS < lowestTargetDBFS || highDBFS > 0 {
		return errors.New("two levels from -60 to 0, the lower first")
	}
	c.Scale = s
	return nil
}

// CameraAsked is what a person asks of a profile in words; nil changes nothing.
// An error begins with the name of what is wrong.
type CameraAsked struct {
	Offset, Clip, Target, MicLevel, Cable *string
	Reminders                             *[]string
	SkipCard                              *bool
}

// On changes a profile as asked for.
func (a CameraAsked) On(c *presets.Camera) error {
	if a.Offset != nil {
		x, err := db.Parse(*a.Offset)
		if err := cmp.Or(err, SetOffset(c, x)); err != nil {
			return fmt.Errorf("offset: %w", err)
		}
	}
	if a.Clip != nil {
		dbfs, err := camera.ParseLevel(*a.Clip)
		if err := cmp.Or(err, SetClip(c, dbfs)); err != nil {
			return fmt.Errorf("clip: %w", err)
		}
	}
	if a.Target != nil {
		low, high, err := camera.ParseWindow(*a.Target)
		if err := cmp.Or(err, SetTarget(c, low, high)); err != nil {
			return fmt.Errorf("target: %w", err)
		}
	}
	set(&c.MicLevel, a.MicLevel)
	set(&c.Cable, a.Cable)
	set(&c.Reminders, a.Reminders)
	set(&c.SkipCard, a.SkipCard)
	return nil
}

func set[T any](to, asked *T) {
	if asked != nil {
		*to = *asked
	}
}

// KeptCamera gives the camera that was named, or the one last used, which may
// be gone: then gone says so, and it is one that was never lined up.
func KeptCamera(store *presets.Store, named, kept string) (c presets.Camera, gone, err error) {
	name := cmp.Or(named, kept)
	if name == "" {
		return presets.Camera{Scale: camera.Default}, nil, nil
	}
	c, err = store.Cameras.Load(name)
	if err != nil && named == "" {
		return presets.Camera{Name: name, Scale: camera.Default}, err, nil
	}
	return c, nil, err
}
