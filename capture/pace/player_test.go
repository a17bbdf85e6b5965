package pace

import (
	"errors"
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

var mono = capture.Format{RateHz: 8000, Channels: 1}

// count gives frames numbered from 0 until the end.
func count(end int) Fill {
	at := 0
	return func(block []float32) (int, error) {
		if at == end {
			return 0, io.EOF
		}
		n := min(len(block), end-at)
		for i := range n {
			block[i] = float32(at + i)
		}
		at += n
		return n, nil
	}
}

func TestDeliversEveryFrameInOrder(t *testing.T) {
	p := New(mono, false, count(1234))
	var got []float32
	require.NoError(t, p.Start(func(b []float32) { got = append(got, b...) }))
	<-p.Done()
	require.NoError(t, p.Err())
	require.Len(t, got, 1234)
	for i, x := range got {
		require.EqualValues(t, i, x)
	}
	require.NoError(t, p.Close())
	require.NoError(t, p.Close())
}

func TestRealTimeTakesItsTime(t *testing.T) {
	p := New(mono, true, count(2400)) // 0.3 s
	begun := time.Now()
	require.NoError(t, p.Start(func([]float32) {}))
	<-p.Done()
	// The last block is due 0.29 s after the first. A busy machine only adds.
	require.GreaterOrEqual(t, time.Since(begun), 285*time.Millisecond)
}

func TestCloseStopsAtOnce(t *testing.T) {
	p := New(mono, true, count(1<<30))
	first := make(chan struct{}, 1)
	require.NoError(t, p.Start(func([]float32) {
		select {
		case first <- struct{}{}:
		default:
		}
	}))
	<-first
	require.NoError(t, p.Close())
	<-p.Done()
	require.NoError(t, New(mono, true, count(1)).Close(), "a player that never started closes too")
}

func TestTellsWhyItEnded(t *testing.T) {
	broken := errors.New("disk gone")
	p := New(mono, false, func([]float32) (int, error) { return 0, broken })
	require.NoError(t, p.Start(func([]float32) {}))
	require.ErrorIs(t, p.Err(), broken)
}

func TestAfterALongStallNoBurst(t *testing.T) {
	p := New(mono, true, count(1))
	due := time.Now().Add(-time.Hour)
	require.True(t, p.wait(&due))
	require.WithinDuration(t, time.Now(), due, time.Minute)
}

// A mistake in what fills is an end with a reason, not the end of the program.
func TestAPanicEndsThePlaying(t *testing.T) {
	p := New(capture.Format{RateHz: 48000, Channels: 1}, false, func([]float32) (int, error) { panic("asked to") })
	require.NoError(t, p.Start(func([]float32) {}))
	require.ErrorContains(t, p.Err(), "asked to (player_test.go:")
}

// Held, nothing is delivered until play; closing ends a player that never did.
func TestHeldFramesWait(t *testing.T) {
	left, got := 3, 0
	fill := func(block []float32) (int, error) {
		if left == 0 {
			return 0, io.EOF
		}
		left--
		return len(block), nil
	}
	p := New(capture.Format{RateHz: 8000, Channels: 1}, false, fill)
	play := p.Hold()
	require.NoError(t, p.Start(func(block []float32) { got += len(block) }))
	select {
	case <-p.Done():
		t.Fatal("it did not wait")
	case <-time.After(20 * time.Millisecond):
	}
	play()
	<-p.Done()
	require.Equal(t, 3*80, got)

	p = New(capture.Format{RateHz: 8000, Channels: 1}, true, fill)
	_ = p.Hold()
	require.NoError(t, p.Start(func([]float32) {}))
	require.NoError(t, p.Close())
}
