package capture

import "errors"

// Format is how frames are laid out: interleaved float32, Channels per frame.
type Format struct {
	RateHz   int
	Channels int
}

// Kind tells where a source's frames come from.
type Kind string

// The kinds of source.
const (
	Device Kind = "device"
	File   Kind = "file"
	Demo   Kind = "demo"
)

// Source pushes blocks of interleaved frames, in the rhythm of its own clock.
type Source interface {
	// Name is what a person calls it: the device's or the file's name.
	Name() string
	Kind() Kind
	Format() Format
	// Start begins to call deliver, from one thread, until Close or the end.
	// The block belongs to the receiver only during the call, which may
	// change it in place. deliver must not block or allocate.
	Start(deliver func(block []float32)) error
	// Done is closed when no more frames will come: the file has ended or
	// the device said it stopped. A device that falls silent may never say so.
	Done() <-chan struct{}
	// Close stops the source. It returns within a second even where the
	// sound server hangs, and may be called twice.
	Close() error
}

// Waiter is a Source whose blocks can wait until they are asked for, so that
// nothing wakes for each. One goroutine at a time calls its methods.
type Waiter interface {
	// Wait lets the blocks from now on wait for Collect, or be delivered the
	// moment they come, as they are at first. It tells whether they wait now.
	Wait(on bool) bool
	// Collect delivers up to so many frames that wait, on the caller's
	// goroutine, and tells how many found no room to wait in since the last
	// time, and whether more wait. It never waits itself.
	Collect(frames int) (dropped int64, more bool)
}

// ErrNoInput means that no usable input device exists.
var ErrNoInput = errors.New("no usable input device")
