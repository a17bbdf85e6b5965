package session

import (
	"time"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/dsp/strips"
)

// Status is the state of a session other than its levels. A plain value.
type Status struct {
	Source        string // name of the device or file, "demo scene"
	Key           string // of a device, "" of anything else: tells it from all others
	Mark          string // the same, short, "" where its name does
	Kind          capture.Kind
	SourceHz      int
	Channels      int                // channels of the source, before picking
	Picked        strips.Channels    // which of them are heard
	Who           [strips.Max]string // who speaks into each, "" if nobody said
	Lost          bool               // the input stopped delivering; it is being looked for
	LostFor       time.Duration      // since when
	Returns       int                // how often a lost input came back
	Ended         bool               // a file has been played to its end
	Dropouts      int64              // frames lost, because the analysis could not keep up or they never came from the device
	Sanitised     int64              // samples that were not finite and became silence
	Fault         string             // what failed inside the audio callback, "" if nothing: metering has stopped
	LatencyFrames int                // delay of the chain: the limiter's look-ahead
	ReductionDB   float64            // by how much the limiter lowers the output now, 0 or more
	Monitor       bool               // the input is what an output plays, no microphone
	Zeros         time.Duration      // for how long nothing but zeros has come
	Before        string             // name of the device that was the input before, "" unless another is heard now
	Mixed         mixer.Setting      // what the sound system does to the input before it is metered here
	Notice        string             // what the user must know about the input, "" if nothing: a fallback to the demo scene, a replaced device, a volume the sound system turned
}

// Called is the name of the source, and what tells it from another of that name.
func (s Status) Called() string { return Called(s.Source, s.Mark) }

// Called is a device's name with its mark, which tells it from another of that
// name, "" where none is needed.
func Called(name, mark string) string {
	if mark == "" {
		return name
	}
	return name + " (" + mark + ")"
}
