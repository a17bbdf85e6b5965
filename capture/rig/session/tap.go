package session

import (
	"sync/atomic"

	"rollready/capture"
	"rollready/capture/ring"
)

// Tap is a copy of the frames for one further consumer: a recording, the
// phrase memory, an output device. One goroutine or audio thread reads its
// rings; all are filled in step.
type Tap struct {
	Input  *ring.Ring // the picked channels before the chain; nil unless asked for
	Output *ring.Ring // the same after it; nil unless asked for
	Feed   *ring.Ring // the two channels for the camera or the headphones; nil unless asked for

	format capture.Format
	phones bool // Feed is that of the headphones
	cut    atomic.Bool
	gaps   atomic.Int64
}

// Frames says which frames a tap carries.
type Frames int

// What a tap may carry: of the feeds one.
const (
	InputFrames Frames = 1 << iota
	OutputFrames
	CameraFrames
	PhonesFrames
	BothFrames = InputFrames | OutputFrames
)

// Format is that of the frames in the rings Input and Output.
func (t *Tap) Format() capture.Format { return t.format }

// Cut tells that no more frames will come, because the source or the picked
// channels changed to another format. Remove the tap and add a new one.
func (t *Tap) Cut() bool { return t.cut.Load() }

// Gaps counts the times the frames broke off and went on: a lost input that
// returned, or another source of the same format. Frames that found no room
// are counted by the rings.
func (t *Tap) Gaps() int64 { return t.gaps.Load() }

// fits: audio thread.
func (t *Tap) fits(f capture.Format) bool {
	if t.format != f {
		t.cut.Store(true)
	}
	return !t.cut.Load()
}

func (t *Tap) writeInput(block []float32) {
	if t.Input != nil {
		t.Input.Write(block)
	}
}

func (t *Tap) writeOutput(block []float32) {
	if t.Output != nil {
		t.Output.Write(block)
	}
}

func (t *Tap) writeCamera(block []float32) {
	if t.Feed != nil && !t.phones {
		t.Feed.Write(block)
	}
}

func (t *Tap) writePhones(block []float32) {
	if t.Feed != nil && t.phones {
		t.Feed.Write(block)
	}
}

// AddTap copies the frames from now on into new rings that hold so many
// seconds. It may be called at any time; the callback never waits for it.
func (s *Session) AddTap(which Frames, seconds float64) *Tap {
	var t *Tap
	s.ask(func() {
		f := s.wiring.format
		frames := int(seconds * float64(f.RateHz))
		t = &Tap{format: f, phones: which&PhonesFrames != 0}
		if which&InputFrames != 0 {
			t.Input = ring.New(frames, f.Channels)
		}
		if which&OutputFrames != 0 {
			t.Output = ring.New(frames, f.Channels)
		}
		if which&(CameraFrames|PhonesFrames) != 0 {
			t.Feed = ring.New(frames, 2)
		}
		s.setTaps(append(s.otherTaps(nil), t))
	})
	if t == nil { // the session is closed
		t = &Tap{}
		t.cut.Store(true)
	}
	return t
}

// RemoveTap ends the copying. What the rings still hold may be read.
func (s *Session) RemoveTap(t *Tap) {
	s.ask(func() { s.setTaps(s.otherTaps(t)) })
}

// otherTaps copies the list without one tap: the audio thread may be reading it.
func (s *Session) otherTaps(without *Tap) (list []*Tap) {
	for _, t := range *s.audio.taps.Load() {
		if t != without {
			list = append(list, t)
		}
	}
	return list
}

func (s *Session) setTaps(list []*Tap) {
	s.audio.taps.Store(&list)
	if s.feed != nil {
		s.feed.wait(len(list) == 0)
	}
}
