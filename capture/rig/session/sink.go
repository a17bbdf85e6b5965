package session

import "rollready/capture"

// Sink takes every block on the audio thread, before and after the chain in
// one call, so that the two can't come apart. Neither method may allocate,
// lock or block.
type Sink interface {
	// MixSlate may add to the frames behind the chain, and to both stereo feeds,
	// before anyone gets them.
	MixSlate(out, camera, phones []float32)
	// Feed gets the frames before and after the chain, of the same length. Those
	// from before are as late as those from after: what sounded at once has the
	// same place in both. The blocks are the session's again when it returns.
	Feed(in, out []float32)
}

// sinking is a sink and the format it was made for.
type sinking struct {
	Sink
	format capture.Format
}

// Format is that of the picked frames now.
func (s *Session) Format() (f capture.Format) {
	s.ask(func() { f = s.wiring.format })
	return f
}

// SetSink gives all frames of this format to a sink from now on, and none
// while they have another. nil ends it; a last call may still be under way
// when SetSink returns.
func (s *Session) SetSink(k Sink, f capture.Format) {
	if k == nil {
		s.audio.sink.Store(nil)
		return
	}
	s.audio.sink.Store(&sinking{k, f})
}

// sinkFor gives the sink that a block of w goes to, nil if there is none.
func (f *feed) sinkFor(w *wiring) *sinking {
	k := f.sink.Load()
	if k == nil || !f.holding || k.format != w.format {
		return nil
	}
	return k
}
