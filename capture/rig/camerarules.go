package rig

import (
	"errors"
	"fmt"

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
