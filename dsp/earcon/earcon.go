// Package earcon makes the short, soft sounds by which headphones tell what a
// screen would: a few notes with round edges, each kind by its own melody.
//
// None is louder than [PeakDBFS]: under speech at a usual level, so that whoever
// has set the headphones for a voice is not startled. What falls means that
// something was lost.
package earcon

import (
	"math"

	"rollready/dsp/db"
)

// Kind is what an earcon says.
type Kind int

// The kinds, the weightiest first.
const (
	TakeStopped Kind = iota
	InputLost
	CameraLost
	Clipped
	Silence
	RunningLow
	Roll // a countdown is over
	Tick // of a countdown
	Count
)

// PeakDBFS is the highest sample of any.
const PeakDBFS = -20.0

// edgeSeconds is the rise and the fall of a note: long enough not to click.
const edgeSeconds = 0.012

// note is a sine of a frequency; 0 Hz is a rest.
type note struct{ hz, seconds float64 }

var melodies = [Count][]note{
	TakeStopped: {{880, 0.14}, {660, 0.14}, {440, 0.24}},
	InputLost:   {{660, 0.14}, {440, 0.24}},
	CameraLost:  {{660, 0.14}, {440, 0.14}, {660, 0.2}},
	Clipped:     {{1320, 0.07}, {0, 0.04}, {1320, 0.07}},
	Silence:     {{330, 0.4}},
	RunningLow:  {{550, 0.12}, {0, 0.06}, {440, 0.12}, {0, 0.06}, {440, 0.12}},
	Roll:        {{1000, 0.25}},
	Tick:        {{800, 0.04}},
}

// Sound gives one at a sample rate, mono, full scale being 1.
func Sound(k Kind, rateHz int) []float32 {
	var sound []float32
	top := db.ToAmplitude(PeakDBFS)
	for _, n := range melodies[k] {
		frames := int(n.seconds * float64(rateHz))
		for i := range frames {
			edge := min(1, float64(i)/(edgeSeconds*float64(rateHz)), float64(frames-i)/(edgeSeconds*float64(rateHz)))
			swell := 0.5 - 0.5*math.Cos(math.Pi*edge)
			sound = append(sound, float32(top*swell*math.Sin(2*math.Pi*n.hz*float64(i)/float64(rateHz))))
		}
	}
	return sound
}
