package survey

import (
	"context"
	"errors"
	"io"
	"sync"
	"sync/atomic"

	"rollready/capture/recording"
)

const (
	blockFrames = 4096
	blocksAhead = 16 // a slow stage may be this far behind a fast one
)

// stage measures one thing, on a goroutine of its own.
type stage interface {
	process(block []float32)
	finish(*Result)
}

// shared is a block that all stages read; the last one gives it back.
type shared struct {
	samples []float32
	users   atomic.Int32
}

// pipe hands every block of r to all stages and returns, with the frames read,
// when all are through.
// The frames are copied nowhere, and no block makes garbage.
func pipe(ctx context.Context, r recording.Reader, stages []stage, progress func(frames int64)) (frames int64, err error) {
	channels := r.Format().Channels
	free := make(chan *shared, blocksAhead)
	for range blocksAhead {
		free <- &shared{samples: make([]float32, blockFrames*channels)}
	}
	queues, wait := start(stages, free)
	frames, err = read(ctx, r, free, queues, progress)
	for _, q := range queues {
		close(q)
	}
	wait()
	return frames, err
}

// start runs the stages, one goroutine and queue each.
func start(stages []stage, free chan<- *shared) (queues []chan *shared, wait func()) {
	var running sync.WaitGroup
	for _, s := range stages {
		q := make(chan *shared, blocksAhead)
		queues = append(queues, q)
		running.Go(func() {
			for b := range q {
				s.process(b.samples)
				if b.users.Add(-1) == 0 {
					free <- b
				}
			}
		})
	}
	return queues, running.Wait
}

func read(ctx context.Context, r recording.Reader, free <-chan *shared, queues []chan *shared, progress func(int64)) (frames int64, err error) {
	channels := r.Format().Channels
	for ctx.Err() == nil {
		b := <-free
		n, err := r.Read(b.samples[:blockFrames*channels])
		if errors.Is(err, io.EOF) {
			return frames, nil
		}
		if err != nil {
			return frames, err
		}
		b.samples = b.samples[:n*channels]
		b.users.Store(int32(len(queues)))
		for _, q := range queues {
			q <- b
		}
		frames += int64(n)
		progress(frames)
	}
	return frames, ctx.Err()
}
