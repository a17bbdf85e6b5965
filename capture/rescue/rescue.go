// Package rescue is the last resort against mistakes of the program's own. A
// panic in one of its goroutines would end it at once, with a take still open
// and the terminal in disorder; here it ends in good order, with one line.
package rescue

import (
	"fmt"
	"os"
	"sync"
	"time"
)

// limit is how long the last steps may take, all together: a disk or a
// terminal that hangs must not keep the program from ending.
const limit = 5 * time.Second

// exitCode is that of an error.
const exitCode = 2

// Rescue ends the program after a panic. The zero Rescue is ready. Any
// goroutine may call its methods.
type Rescue struct {
	mu    sync.Mutex
	steps []func() error
	once  sync.Once
}

// Add has something done before the program ends, such as closing a take. The
// steps run side by side, so that none waits for one that hangs.
func (r *Rescue) Add(do func() error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.steps = append(r.steps, do)
}

// Go runs f on a goroutine of its own, whose panic ends the program in order.
// Whoever starts goroutines is handed this.
func (r *Rescue) Go(f func()) {
	go func() {
		defer r.Recover()
		f()
	}()
}

// OrGo gives what starts goroutines: the Go of a rescue, or without one a
// plain go.
func OrGo(start func(f func())) func(f func()) {
	if start == nil {
		return func(f func()) { go f() }
	}
	return start
}

// Recover is deferred on goroutines that others start. Of several panics the
// first has the say; the others wait for the end.
func (r *Rescue) Recover() {
	if cause := recover(); cause != nil {
		place := Place()
		r.once.Do(func() { r.end(cause, place) })
	}
}

func (r *Rescue) end(cause any, place string) {
	took := "a take that rolled is closed"
	if !r.finish() {
		took = "a take that rolled may lack its end, rollready take recover mends it"
	}
	fmt.Fprintf(os.Stderr, "rollready stopped by a mistake of its own: %v (%s); %s\n", cause, place, took)
	os.Exit(exitCode)
}

// finish does the steps and tells whether all succeeded in time.
func (r *Rescue) finish() bool {
	r.mu.Lock()
	steps := r.steps
	r.mu.Unlock()
	results := make(chan error, len(steps))
	for _, do := range steps {
		go func() { results <- Try(do) }()
	}
	late, good := time.After(limit), true
	for range steps {
		select {
		case err := <-results:
			good = good && err == nil
		case <-late:
			return false
		}
	}
	return good
}
