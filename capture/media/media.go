// Package media opens recorded sound of any container: WAV, RF64 and
// Broadcast Wave by our own reader, FLAC through a library, everything else
// through ffmpeg where that is installed.
package media

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// Reader gives the frames of a recording in a stream. One goroutine uses it.
type Reader interface {
	Format() capture.Format
	// Frames is the length of the recording, 0 where only reading will tell.
	Frames() int64
	// Truncated tells that the file is shorter than it claims. Where only
	// reading will tell, it is right after the end.
	Truncated() bool
	// Read fills the block with whole frames and gives their number, which
	// is smaller than the block holds only at the end. io.EOF comes alone.
	Read(block []float32) (frames int, err error)
	Close() error
}

// Open opens a recording. The kind of file is told by its first bytes, not by
// its name. The error is one line that says what is wrong and what to do. The
// context ends a run of ffmpeg.
func Open(ctx context.Context, path string) (Reader, error) {
	head, err := firstBytes(path)
	if err != nil {
		return nil, err
	}
	switch {
	case bytes.HasPrefix(head, []byte("fLaC")):
		return openFLAC(path)
	case wave(head):
		return wavfile.Open(path)
	case len(head) == 0:
		return nil, fmt.Errorf("open %s: the file is empty", path)
	case text(head):
		return nil, fmt.Errorf("open %s: this is text, not sound", path)
	default:
		return openForeign(ctx, path)
	}
}

func wave(head []byte) bool {
	for _, id := range []string{"RIFF", "RF64", "BW64"} {
		if bytes.HasPrefix(head, []byte(id)) {
			return true
		}
	}
	return false
}

// text tells whether the bytes are printable ASCII.
func text(head []byte) bool {
	for _, b := range head {
		if b < ' ' && b != '\n' && b != '\r' && b != '\t' || b > '~' {
			return false
		}
	}
	return true
}

func firstBytes(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, fmt.Errorf("open %s: not a file", path)
	}
	head := make([]byte, 64)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	return head[:n], nil
}
