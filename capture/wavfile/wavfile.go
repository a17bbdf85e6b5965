// Package wavfile reads and writes WAV files: RIFF/WAVE, and RF64 or BW64
// where they pass 4 GiB.
//
// Integer samples of n bits are divided by 2^(n−1), so that full scale is 1.
package wavfile

import (
	"errors"
	"fmt"
	"io"
	"os"

	"rollready/capture"
	"rollready/capture/riff"
)

// scratchBytes is how much is read from the file at once.
const scratchBytes = 96 << 10

// Reader reads frames from a WAV file in a stream. One goroutine uses it.
type Reader struct {
	file       io.ReaderAt
	close      func() error
	format     capture.Format
	encoding   Encoding
	layout     riff.Layout
	frameBytes int
	frames     int64
	next       int64 // frame that Read gives first
	scratch    []byte
	err        error // once failed, stays failed
}

// Open opens a file for reading. The error is one line that says what is
// wrong with the file and what to do.
func Open(path string) (*Reader, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	r, err := openFile(f)
	if err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	r.close = f.Close
	return r, nil
}

func openFile(f *os.File) (*Reader, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("not a file: give the path of a WAV file")
	}
	return NewReader(f, info.Size())
}

// NewReader reads a WAV file of so many bytes from anywhere.
func NewReader(file io.ReaderAt, size int64) (*Reader, error) {
	found, err := riff.Walk(file, size)
	if err != nil {
		return nil, err
	}
	r := &Reader{file: file, layout: found, close: func() error { return nil }}
	if r.format, r.encoding, err = FormatOf(&found); err != nil {
		return nil, err
	}
	r.frameBytes = r.format.Channels * r.encoding.Bytes()
	r.frames = found.Data.Size / int64(r.frameBytes)
	r.scratch = make([]byte, scratchBytes/r.frameBytes*r.frameBytes+1)
	return r, nil
}

// Format is the layout of the frames.
func (r *Reader) Format() capture.Format { return r.format }

// Encoding is how the samples lie in the file.
func (r *Reader) Encoding() Encoding { return r.encoding }

// Frames is the number of whole frames really in the file.
func (r *Reader) Frames() int64 { return r.frames }

// Truncated tells that the header's length of the sound did not hold: the
// file was cut short, never closed, or written into a pipe.
func (r *Reader) Truncated() bool { return r.layout.Data.Torn() }

// Layout is where the file's other chunks lie.
func (r *Reader) Layout() *riff.Layout { return &r.layout }

// SeekTo makes Read go on at a frame, 0 … Frames.
func (r *Reader) SeekTo(frame int64) error {
	if frame < 0 || frame > r.frames {
		return fmt.Errorf("seek to frame %d: the file has %d", frame, r.frames)
	}
	r.next = frame
	return nil
}

// Read fills the block with whole frames and gives their number, which is
// smaller than the block holds only at the end. io.EOF comes alone. It does
// not allocate.
func (r *Reader) Read(block []float32) (frames int, err error) { return read(r, block) }

// Read64 is Read without loss for any encoding.
func (r *Reader) Read64(block []float64) (frames int, err error) { return read(r, block) }

func read[T float32 | float64](r *Reader, block []T) (frames int, err error) {
	channels := r.format.Channels
	want := int(min(int64(len(block)/channels), r.frames-r.next))
	for frames < want && r.err == nil {
		n := min(want-frames, (len(r.scratch)-1)/r.frameBytes)
		r.err = r.load(n)
		if r.err != nil {
			break
		}
		decode(r.encoding, block[frames*channels:(frames+n)*channels], r.scratch)
		frames += n
	}
	if frames > 0 || len(block) < channels {
		return frames, nil
	}
	if r.err == nil {
		return 0, io.EOF
	}
	return 0, r.err
}

// load brings the next n frames into scratch.
func (r *Reader) load(n int) error {
	raw := r.scratch[:n*r.frameBytes]
	got, err := r.file.ReadAt(raw, r.layout.Data.At+r.next*int64(r.frameBytes))
	if got < len(raw) {
		if errors.Is(err, io.EOF) {
			err = io.ErrUnexpectedEOF
		}
		return fmt.Errorf("read frame %d: %w", r.next, err)
	}
	r.next += int64(n)
	return nil
}

// Close closes the file. It may be called twice.
func (r *Reader) Close() error {
	end := r.close
	r.close = func() error { return nil }
	return end()
}
