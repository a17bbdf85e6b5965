package rescue

import (
	"fmt"
	"sync/atomic"
)

// Fault is what an audio callback panicked with: a mistake of ours must not take
// the program, and with it the take that is recorded, down from a foreign
// thread. The zero Fault is none.
type Fault struct{ text atomic.Pointer[string] }

// Catch is deferred at the beginning of a callback. The first panic stays.
func (f *Fault) Catch() {
	if cause := recover(); cause != nil {
		text := fmt.Sprintf("%v (%s)", cause, Place())
		f.text.CompareAndSwap(nil, &text)
	}
}

// Text is the panic and its place, "" if there was none. Any thread may ask.
func (f *Fault) Text() string {
	if text := f.text.Load(); text != nil {
		return *text
	}
	return ""
}

// Raised tells whether there was one: an audio thread then stays silent.
func (f *Fault) Raised() bool { return f.text.Load() != nil }

// Forget makes it none.
func (f *Fault) Forget() { f.text.Store(nil) }
