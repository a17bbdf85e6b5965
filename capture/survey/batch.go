package survey

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// Outcome is what became of one file of a batch: a Result or an error.
type Outcome struct {
	Path   string
	Result Result
	Err    error
}

// Batch measures files, several at a time, and gives their outcomes in the
// order of the paths. A file that can't be measured does not stop the others.
type Batch struct {
	paths []string
	done  atomic.Int64   // files
	share []atomic.Int64 // of each file, in thousandths
}

// NewBatch makes a batch; Run does the work.
func NewBatch(paths []string) *Batch {
	return &Batch{paths: paths, share: make([]atomic.Int64, len(paths))}
}

// Done is the number of files finished. Any goroutine may ask.
func (b *Batch) Done() int { return int(b.done.Load()) }

// Share is how much of all files has been read, 0 … 1. Any goroutine may ask.
func (b *Batch) Share() float64 {
	sum := int64(0)
	for i := range b.share {
		sum += b.share[i].Load()
	}
	return float64(sum) / 1000 / float64(max(1, len(b.share)))
}

// Run measures all files. When the context ends it stops before the next
// block, and the unfinished files have the context's error.
func (b *Batch) Run(ctx context.Context) []Outcome {
	out := make([]Outcome, len(b.paths))
	var next atomic.Int64
	var running sync.WaitGroup
	for range min(len(b.paths), max(2, runtime.NumCPU())) {
		running.Go(func() {
			for i := next.Add(1) - 1; int(i) < len(b.paths); i = next.Add(1) - 1 {
				out[i] = b.one(ctx, int(i))
				b.share[i].Store(1000)
				b.done.Add(1)
			}
		})
	}
	running.Wait()
	return out
}

func (b *Batch) one(ctx context.Context, i int) Outcome {
	if err := ctx.Err(); err != nil {
		return Outcome{b.paths[i], Result{}, err}
	}
	result, err := File(ctx, b.paths[i], func(share float64) { b.share[i].Store(int64(1000 * share)) })
	return Outcome{b.paths[i], result, err}
}
