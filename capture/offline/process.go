package offline

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/wavfile"
	"rollready/dsp/chain"
)

const (
	processFrames = 8192 // a block that stays in a processor's cache
	blocksAtOnce  = 4    // reading, filtering and writing overlap
)

// Process runs a whole file through a chain. Frame n of the result belongs to
// frame n of the file: what the limiter delays is brought back, so that the
// result stays in step with its picture. Otherwise every sample is what live
// input gives.
type Process struct {
	reader   recording.Reader
	picker   *capture.Picker
	chain    *chain.Chain
	channels int
	delay    int // frames of the chain
}

// Result is what a Process found on its way.
type Result struct {
	Frames    int64 // written
	Sanitised int64 // samples that were not finite and became silence
	Overs     int64 // samples beyond full scale, held at it where the encoding is whole numbers
}

// NewProcess prepares to read a file from its beginning. The error names a
// channel that the file lacks.
func NewProcess(r recording.Reader, p capture.Pick, set chain.Settings) (*Process, error) {
	picker, err := capture.NewPicker(p, r.Format().Channels)
	if err != nil {
		return nil, err
	}
	c := chain.New(r.Format().RateHz, picker.Channels())
	c.Set(set)
	return &Process{reader: r, picker: picker, chain: c, channels: picker.Channels(), delay: c.LatencyFrames()}, nil
}

// Format is that of the result: the picked channels.
func (p *Process) Format() capture.Format {
	return capture.Format{RateHz: p.reader.Format().RateHz, Channels: p.channels}
}

// block is a stretch on its way from the one file to the other.
type block struct {
	buffer    []float32
	frames    []float32 // the part of buffer in use
	sanitised int64
}

// Run reads, filters and writes, once, each on its own goroutine, until the
// end of the file or of ctx. progress, if not nil, is told the frames written,
// in the caller's goroutine. Closing reader and writer is the caller's.
func (p *Process) Run(ctx context.Context, w *wavfile.Writer, progress func(frames int64)) (Result, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	free := make(chan *block, blocksAtOnce)
	for range blocksAtOnce {
		free <- &block{buffer: make([]float32, processFrames*p.channels)}
	}
	read, filtered := make(chan *block, blocksAtOnce), make(chan *block, blocksAtOnce)
	ended := make(chan error, 1)
	go func() {
		ended <- p.read(ctx, free, read)
		close(read)
	}()
	go p.filter(read, filtered)
	var result Result
	var failed error
	for b := range filtered {
		if failed == nil {
			if failed = w.Write(b.frames); failed != nil {
				cancel()
			}
			result.add(b, p.channels)
			if progress != nil {
				progress(result.Frames)
			}
		}
		free <- b
	}
	return result, errors.Join(failed, unlessCancelled(<-ended, failed))
}

// unlessCancelled leaves out the reader's complaint that we ended it ourselves.
func unlessCancelled(err, because error) error {
	if because != nil && errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

func (r *Result) add(b *block, channels int) {
	r.Frames += int64(len(b.frames) / channels)
	r.Sanitised += b.sanitised
	for _, x := range b.frames {
		if x > 1 || x < -1 {
			r.Overs++
		}
	}
}

// read fills blocks from the file; after its end come as many frames of
// silence as the chain delays.
func (p *Process) read(ctx context.Context, free, out chan *block) error {
	raw := make([]float32, processFrames*p.reader.Format().Channels)
	for {
		var b *block
		select {
		case <-ctx.Done():
			return ctx.Err()
		case b = <-free:
		}
		n, err := p.reader.Read(raw)
		if errors.Is(err, io.EOF) {
			b.frames = b.buffer[:p.delay*p.channels]
			clear(b.frames)
			b.sanitised = 0
			out <- b
			return nil
		}
		if err != nil {
			return fmt.Errorf("read: %w", err)
		}
		b.frames = p.picker.Copy(b.buffer, raw[:n*p.reader.Format().Channels])
		b.sanitised = capture.Sanitise(b.frames)
		out <- b
	}
}

// filter runs the chain and leaves out as many frames at the start as it delays.
func (p *Process) filter(in, out chan *block) {
	defer close(out)
	skip := p.delay * p.channels
	for b := range in {
		p.chain.Process(b.frames)
		left := min(skip, len(b.frames))
		b.frames, skip = b.frames[left:], skip-left
		out <- b
	}
}
