package session

import (
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
)

// fake is a source driven by the test: send delivers on the calling goroutine.
type fake struct {
	name    string
	kind    capture.Kind
	format  capture.Format
	startIs error

	mu      sync.Mutex
	deliver func([]float32)
	done    chan struct{}
	closed  atomic.Int32
	hang    chan struct{} // Close waits for it, if not nil
}

func newFake(name string, channels int) *fake {
	return &fake{name: name, kind: capture.Device, format: capture.Format{RateHz: 48000, Channels: channels}, done: make(chan struct{})}
}

func (f *fake) Name() string           { return f.name }
func (f *fake) Kind() capture.Kind     { return f.kind }
func (f *fake) Format() capture.Format { return f.format }
func (f *fake) Done() <-chan struct{}  { return f.done }

func (f *fake) Start(deliver func([]float32)) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.deliver = deliver
	return f.startIs
}

func (f *fake) Close() error {
	f.closed.Add(1)
	if f.hang != nil {
		<-f.hang
	}
	return nil
}

func (f *fake) open() (capture.Source, error) { return f, nil }

// send delivers frames that all hold value on each channel.
func (f *fake) send(frames int, value float32) {
	block := make([]float32, frames*f.format.Channels)
	for i := range block {
		block[i] = value
	}
	f.sendBlock(block)
}

func (f *fake) sendBlock(block []float32) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.deliver(block)
}

// keepSending delivers until stop is closed; it returns once it has stopped.
func (f *fake) keepSending(t *testing.T) (stop func()) {
	quit, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			select {
			case <-quit:
				return
			case <-time.After(5 * time.Millisecond):
				f.send(240, 0.5)
			}
		}
	}()
	var once sync.Once
	stop = func() { once.Do(func() { close(quit); <-stopped }) }
	t.Cleanup(stop)
	return stop
}

// queue is an Opener that gives its sources one after the other, then an error.
type queue struct {
	mu    sync.Mutex
	next  []*fake
	calls int
}

var errGone = errors.New("not there")

func (q *queue) open() (capture.Source, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.calls++
	if len(q.next) == 0 {
		return nil, errGone
	}
	f := q.next[0]
	q.next = q.next[1:]
	return f, nil
}

func (q *queue) add(f *fake) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.next = append(q.next, f)
}

func run(t *testing.T, o Options) *Session {
	t.Helper()
	if o.View == (dsp.View{}) {
		o.View = dsp.DefaultView()
	}
	s, err := Open(o)
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s
}

// allocations are those of a callback, the fewest of three tries: what other
// goroutines allocate counts too.
func allocations(mic *fake, block []float32) float64 {
	try := func() float64 { return testing.AllocsPerRun(200, func() { mic.deliver(block) }) }
	return min(try(), try(), try())
}

func eventually(t *testing.T, what string, met func() bool) {
	t.Helper()
	require.Eventually(t, met, time.Minute, 2*time.Millisecond, what)
}

// busyChain has every stage on that a monitor would have.
var busyChain = chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 15000, Slope: 12}}
