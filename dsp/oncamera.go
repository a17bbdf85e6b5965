package dsp

import (
	"math"

	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/dsp/hearing"
	"rollready/dsp/level"
)

// onCamera places an output level on the camera's scale. Headroom follows the
// true peak, whatever ballistics the bar has.
func onCamera(s camera.Scale, l Level) CameraLevel {
	return CameraLevel{PeakDBFS: s.Reads(l.PeakDBFS), HoldDBFS: s.Reads(l.HoldDBFS),
		HeadroomDB: s.Headroom(s.Reads(l.TruePeakDBTP)), LeastHeadroomDB: s.Headroom(s.Reads(l.MaxDBTP))}
}

// zone is that of the voice of the last minute, so that it does not change
// between words, and none where nobody spoke long enough to be judged. What
// overloads is over at once.
func zone(s camera.Scale, l Level, h *hearing.Heard, voice float64) camera.Zone {
	now := s.Zone(s.Reads(max(l.HoldDBFS, l.TruePeakDBTP)))
	switch {
	case now == camera.Over:
		return now
	case h.SpokenSeconds < hearing.LevelSeconds, h.PauseSeconds > hearing.KeptSeconds, math.IsInf(voice, -1):
		return camera.Unjudged
	}
	return s.Zone(s.Reads(voice))
}

// overs counts the times that a channel comes close to the camera's clip point.
type overs struct {
	count int64
	apart int // hops since it was last there
	begun bool
}

// overGap is how many hops apart two overloads are at least.
const overGap = level.HopsPerSecond / 10

// push takes the true peak of a hop, as an amplitude.
func (o *overs) push(s camera.Scale, peak float64) {
	if s.Zone(s.Reads(db.FromAmplitude(peak))) != camera.Over {
		o.apart++
		return
	}
	if !o.begun || o.apart >= overGap {
		o.count++
	}
	o.begun, o.apart = true, 0
}

// rescale takes another scale, and the highest true peak so far.
func (o *overs) rescale(s camera.Scale, highest float64) {
	if s.Zone(s.Reads(db.FromAmplitude(highest))) != camera.Over {
		*o = overs{}
		return
	}
	o.count = max(o.count, 1)
}
