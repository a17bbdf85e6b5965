package session

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/dsp/chain"
	"rollready/dsp/strips"
)

// waiter is a fake whose blocks can wait.
type waiter struct {
	*fake
	mu      sync.Mutex
	waits   bool
	waiting []float32
	lost    int64
}

func (w *waiter) open() (capture.Source, error) { return w, nil }

func (w *waiter) Wait(on bool) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.waits = on
	return on
}

func (w *waiter) Collect(frames int) (dropped int64, more bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	n := min(len(w.waiting), frames*w.format.Channels)
	if dropped, w.lost = w.lost, 0; n > 0 {
		w.sendBlock(w.waiting[:n])
		w.waiting = w.waiting[n:]
	}
	return dropped, len(w.waiting) > 0
}

func (w *waiter) add(frames int, value float32, lost int64) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for range frames * w.format.Channels {
		w.waiting = append(w.waiting, value)
	}
	w.lost += lost
}

func (w *waiter) isWaiting() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.waits
}

// Blocks wait while nobody listens to what comes now, and all that waited is
// metered, in the order in which it came.
func TestBlocksWaitWhileNobodyListens(t *testing.T) {
	mic := &waiter{fake: newFake("Mic", 2)}
	s := run(t, Options{Open: mic.open, Strips: strips.Of(chain.Settings{GainDB: -6})})
	require.True(t, mic.isWaiting())
	mic.add(40_800, 0.5, 7)
	mic.add(40_800, 0.25, 0)
	eventually(t, "81600 frames", func() bool { return s.Reading().Frames == 81_600 })
	require.EqualValues(t, 7, s.Status().Dropouts, "what found no room to wait in")
	tap := s.AddTap(BothFrames, 1)
	require.False(t, mic.isWaiting(), "somebody listens")
	mic.send(480, 0.1)
	require.Equal(t, 480, tap.Input.Len(), "at once")
	s.RemoveTap(tap)
	require.True(t, mic.isWaiting())
}

// A face's pace is the session's, and each look is told.
func TestTheFaceSaysHowOftenTheSessionLooks(t *testing.T) {
	mic := newFake("Mic", 2)
	s := run(t, Options{Open: mic.open})
	news := s.Follow(1000)
	for range 20 {
		<-news
	}
	mic.send(480, 0.1)
	for s.Reading().Frames == 0 {
		<-news
	}
}
