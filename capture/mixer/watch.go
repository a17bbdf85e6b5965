package mixer

import (
	"sync"
	"sync/atomic"
	"time"

	"rollready/capture/rescue"
)

const (
	readEvery  = time.Second
	staleAfter = 3 * readEvery
)

// Watch reads the mixer about once a second, on a goroutine of its own that
// begins with the first call of Now. Any goroutine may call it.
type Watch struct {
	newest atomic.Pointer[reading]
	start  func(f func())
	quit   chan struct{}

	beginning, closing sync.Once
}

type reading struct {
	Snapshot
	at time.Time
}

// NewWatch asks nothing yet. start starts the goroutine, as rescue.Rescue
// does; nil: go.
func NewWatch(start func(f func())) *Watch {
	return &Watch{start: rescue.OrGo(start), quit: make(chan struct{})}
}

// Now gives the newest reading and returns at once. It knows nothing while
// the system does not answer.
func (w *Watch) Now() Snapshot {
	w.beginning.Do(func() { w.start(w.run) })
	r := w.newest.Load()
	if r == nil || time.Since(r.at) > staleAfter {
		return Snapshot{}
	}
	return r.Snapshot
}

// Close ends the watch; it does not wait for the system.
func (w *Watch) Close() { w.closing.Do(func() { close(w.quit) }) }

func (w *Watch) run() {
	tick := time.NewTicker(readEvery)
	defer tick.Stop()
	var c teller
	for {
		c = w.look(c)
		select {
		case <-w.quit:
			if c != nil {
				c.Close()
			}
			return
		case <-tick.C:
		}
	}
}

// look reads once, over the connection there is or a new one, and gives the
// one to go on with: nil where nobody answers.
func (w *Watch) look(c teller) teller {
	var err error
	if c == nil {
		if c, err = connect(); err != nil {
			return nil
		}
	}
	s, err := c.read()
	if err != nil {
		c.Close()
		return nil
	}
	w.newest.Store(&reading{s, time.Now()})
	return c
}
