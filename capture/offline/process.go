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
// input gives; through a chain that changes nothing every bit passes.
type Process struct {
	reader   recording.Reader
	lanes    []lane
	channels int
	delay    int // frames of the chain
	exact    bool
}

// lane is one or two channels on their way through a chain of their own.
type lane struct {
	picker *capture.Picker
	chain  *chain.Chain
}

// Result is what a Process found on its way.
type Result struct {
	Frames    int64 // written
	Sanitised int64 // samples that were not finite and became silence
	Overs     int64 // samples beyond full scale, held at it where the encoding is whole numbers
}

// NewProcess prepares to read a file from its beginning. Each pick goes
// through the chain by itself, and the result holds them in this order; none
// is Auto. The error names a channel that the file lacks.
func NewProcess(r recording.Reader, set chain.Settings, picks ...capture.Pick) (*Process, error) {
	if picks == nil {
		picks = []capture.Pick{capture.Auto}
	}
	p := &Process{reader: r, exact: set.Flat()}
	for _, pick := range picks {
		picker, err := capture.NewPicker(pick, r.Format().Channels)
		if err != nil {
			return nil, err
		}
		c := chain.New(r.Format().RateHz, picker.Channels())
		c.Set(set)
		p.lanes = append(p.lanes, lane{picker, c})
		p.channels += picker.Channels()
		p.delay = c.LatencyFrames()
		p.exact = p.exact && picker.Sources() != nil
	}
	return p, nil
}

// Format is that of the result: the picked channels.
func (p *Process) Format() capture.Format {
	return capture.Format{RateHz: p.reader.Format().RateHz, Channels: p.channels}
}

// Sources are the channels of the file, from 0, that the result's come from;
// nil where some are mixed.
func (p *Process) Sources() (all []int) {
	for _, l := range p.lanes {
		from := l.picker.Sources()
		if from == nil {
			return nil
		}
		all = append(all, from...)
	}
	return all
}

// block is a stretch on its way from the one file to the other.
type block struct {
	buffers   [][]float32 // one for each lane
	frames    [][]float32 // the part of each in use
	sanitised int64
}

func (p *Process) newBlock() *block {
	b := &block{frames: make([][]float32, len(p.lanes))}
	for _, l := range p.lanes {
		b.buffers = append(b.buffers, make([]float32, processFrames*l.picker.Channels()))
	}
	return b
}

// Run reads, filters and writes, once, each on its own goroutine, until the
// end of the file or of ctx. progress, if not nil, is told the frames written,
// in the caller's goroutine. Closing reader and writer is the caller's. What
// is written with 16 bits and is not the file's own 16 bits gets dither.
func (p *Process) Run(ctx context.Context, w *wavfile.Writer, progress func(frames int64)) (Result, error) {
	if progress == nil {
		progress = func(int64) {}
	}
	if p.exact && !p.shortened(w) {
		return p.runExact(ctx, w, progress)
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	free := make(chan *block, blocksAtOnce)
	for range blocksAtOnce {
		free <- p.newBlock()
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
	out := p.newOutput(w)
	for b := range filtered {
		if failed == nil {
			if failed = out.write(b, &result); failed != nil {
				cancel()
			}
			progress(result.Frames)
		}
		free <- b
	}
	return result, errors.Join(failed, unlessCancelled(<-ended, failed))
}

// shortened tells that 16 bits are written of what may have more.
func (p *Process) shortened(w *wavfile.Writer) bool {
	return w.Encoding() == wavfile.PCM16 && (!p.exact || p.reader.Encoding() != wavfile.PCM16)
}

// runExact passes on what the chain does not change, in 64 bits.
func (p *Process) runExact(ctx context.Context, w *wavfile.Writer, progress func(int64)) (result Result, err error) {
	from, in := p.Sources(), p.reader.Format().Channels
	raw, picked := make([]float64, processFrames*in), make([]float64, processFrames*p.channels)
	for ctx.Err() == nil {
		n, err := p.reader.Read64(raw)
		if errors.Is(err, io.EOF) {
			return result, nil
		}
		if err != nil {
			return result, fmt.Errorf("read: %w", err)
		}
		frames := picked[:n*p.channels]
		for i := range n {
			for c, source := range from {
				frames[i*p.channels+c] = raw[i*in+source]
			}
		}
		result.Sanitised += capture.Sanitise(frames)
		result.Overs += overs(frames)
		result.Frames += int64(n)
		if err := w.Write64(frames); err != nil {
			return result, err
		}
		progress(result.Frames)
	}
	return result, ctx.Err()
}

// overs counts the samples beyond full scale.
func overs[T float32 | float64](frames []T) (n int64) {
	for _, x := range frames {
		if x > 1 || x < -1 {
			n++
		}
	}
	return n
}

// unlessCancelled leaves out the reader's complaint that we ended it ourselves.
func unlessCancelled(err, because error) error {
	if because != nil && errors.Is(err, context.Canceled) {
		return nil
	}
	return err
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
			p.fill(b, make([]float32, p.delay*p.reader.Format().Channels))
			out <- b
			return nil
		}
		if err != nil {
			return fmt.Errorf("read: %w", err)
		}
		p.fill(b, raw[:n*p.reader.Format().Channels])
		out <- b
	}
}

// fill hands each lane its channels.
func (p *Process) fill(b *block, raw []float32) {
	b.sanitised = 0
	for i, l := range p.lanes {
		b.frames[i] = l.picker.Copy(b.buffers[i], raw)
		b.sanitised += capture.Sanitise(b.frames[i])
	}
}

// filter runs the chains and leaves out as many frames at the start as they delay.
func (p *Process) filter(in, out chan *block) {
	defer close(out)
	skip := p.delay
	for b := range in {
		left := 0
		for i, l := range p.lanes {
			l.chain.Process(b.frames[i])
			left = min(skip, len(b.frames[i])/l.picker.Channels())
			b.frames[i] = b.frames[i][left*l.picker.Channels():]
		}
		skip -= left
		out <- b
	}
}
