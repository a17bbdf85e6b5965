package offline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/wavfile"
	"rollready/dsp/strips"
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
	names    []string // of the result's channels; nil: those of the file
}

// lane is some channels on their way through strips of their own.
type lane struct {
	picker *capture.Picker
	bank   *strips.Bank
	feed   bool // the result is the camera feed
	width  int  // channels of the result
	beside []float32
	camera []float32
}

// Result is what a Process found on its way.
type Result struct {
	Frames    int64 // written
	Sanitised int64 // samples that were not finite and became silence
	Overs     int64 // samples beyond full scale, held at it where the encoding is whole numbers
}

// NewProcess prepares to read a file from its beginning. Linked strips are a
// chain that each pick goes through by itself; the result holds the picks in
// this order; none is Auto. Strips that are not linked are for one channel
// each, in the same order. With a route the result is the camera feed of all
// of them. The error names a channel that the file lacks.
func NewProcess(r recording.Reader, set strips.Settings, picks ...capture.Pick) (*Process, error) {
	if picks == nil {
		picks = []capture.Pick{capture.Auto}
	}
	p := &Process{reader: r, exact: set.Flat() && set.Route == ""}
	if set.Unlinked || set.Route != "" {
		return p, p.addStrips(set, picks)
	}
	for _, pick := range picks {
		if err := p.add(pick, set); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// add lets channels go through strips side by side.
func (p *Process) add(pick capture.Pick, set strips.Settings) error {
	picker, err := capture.NewPicker(pick, p.reader.Format().Channels)
	if err != nil {
		return err
	}
	n := picker.Channels()
	l := lane{picker: picker, bank: strips.NewBank(p.reader.Format().RateHz, n), feed: set.Route != "", width: n,
		beside: make([]float32, processFrames*n), camera: make([]float32, 2*processFrames)}
	if l.feed {
		l.width = 2
	}
	l.bank.Set(set)
	p.lanes = append(p.lanes, l)
	p.channels += l.width
	p.delay = l.bank.LatencyFrames()
	p.exact = p.exact && picker.Sources() != nil
	return nil
}

// addStrips lets each channel go through a strip of its own, or all of them to
// the camera.
func (p *Process) addStrips(set strips.Settings, picks []capture.Pick) error {
	var each []string
	for _, pick := range picks {
		picker, err := capture.NewPicker(pick, p.reader.Format().Channels)
		switch {
		case err != nil:
			return err
		case picker.Sources() == nil:
			each = append(each, string(capture.Mix))
		}
		for _, c := range picker.Sources() {
			each = append(each, strconv.Itoa(c+1))
		}
	}
	if len(each) > strips.Max {
		return fmt.Errorf("%d channels: there are %d microphones at most; choose with --channels", len(each), strips.Max)
	}
	if set.Route != "" {
		p.names = []string{"camera left", "camera right"}
		return p.add(capture.Pick(strings.Join(each, "+")), set)
	}
	for i, channel := range each {
		one := strips.Settings{Unlinked: true, Limit: set.Limit}
		one.Strips[0] = set.Strips[i]
		if err := p.add(capture.Pick(channel), one); err != nil {
			return err
		}
		p.names = append(p.names, set.Called(i))
	}
	return nil
}

// run takes the frames of one block through the strips.
func (l *lane) run(frames []float32) []float32 {
	n := len(frames) / l.picker.Channels()
	k := strips.Block{Raw: l.beside[:copy(l.beside, frames)], Strips: frames, Camera: l.camera[:2*n]}
	l.bank.Process(k)
	if l.feed {
		return slices.Clone(k.Camera) // while it is written the next block comes
	}
	return frames
}

// Strips is how many channels of the file are taken.
func (p *Process) Strips() (n int) {
	for _, l := range p.lanes {
		n += l.picker.Channels()
	}
	return n
}

// Format is that of the result: the picked channels, or the camera feed.
func (p *Process) Format() capture.Format {
	return capture.Format{RateHz: p.reader.Format().RateHz, Channels: p.channels}
}

// Sources are the channels of the file, from 0, that the result's come from;
// nil where some are mixed.
func (p *Process) Sources() (all []int) {
	for _, l := range p.lanes {
		from := l.picker.Sources()
		if from == nil || l.feed {
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
		if x*x > 1 {
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
			made := l.run(b.frames[i])
			left = min(skip, len(made)/l.width)
			b.frames[i] = made[left*l.width:]
		}
		skip -= left
		out <- b
	}
}
