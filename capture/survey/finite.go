package survey

import (
	"rollready/capture"
	"rollready/capture/recording"
	"rollready/dsp/verdict"
)

// lookFrames is how exactly the place of a sample that is no number is told.
const lookFrames = 512

// finite puts silence where a sample is not a finite number, as NaN is, and
// counts those.
type finite struct {
	frames   int64 // seen
	replaced int64
	events   []Event
}

// clean is a recording of finite samples.
type clean struct {
	recording.Reader
	*finite
}

func (c clean) Read(block []float32) (frames int, err error) {
	frames, err = c.Reader.Read(block)
	c.look(block, frames, c.Format())
	return frames, err
}

func (f *finite) look(block []float32, frames int, format capture.Format) {
	for from := 0; from < frames; from += lookFrames {
		to := min(from+lookFrames, frames)
		n := capture.Sanitise(block[from*format.Channels : to*format.Channels])
		if n > 0 && len(f.events) < maxEvents {
			f.events = append(f.events, Event{float64(f.frames+int64(from)) / float64(format.RateHz), verdict.NotFinite, 0})
		}
		f.replaced += n
	}
	f.frames += int64(frames)
}

func (f *finite) finish(r *Result) {
	r.NonFinite = f.replaced
	r.Events = append(r.Events, f.events...)
}
