// Package recording opens recorded sound of any container: WAV, RF64 and
// Broadcast Wave by our own reader, FLAC through a library, everything else
// through ffmpeg where that is installed.
package recording

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"rollready/capture"
	"rollready/capture/riff"
	"rollready/capture/take/bwf"
	"rollready/capture/track"
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
	// Encoding is the one to write that loses nothing of the recording.
	Encoding() wavfile.Encoding
	// Tracks are the channels, one each, with what the file says of them.
	Tracks() []track.Track
	// Tags are the chunks of a WAV file that tell where its sound belongs:
	// bext, iXML, cue and LIST, in their order.
	Tags() []riff.Chunk
	// Read fills the block with whole frames and gives their number, which
	// is smaller than the block holds only at the end. io.EOF comes alone.
	Read(block []float32) (frames int, err error)
	// Read64 is Read without loss for any encoding.
	Read64(block []float64) (frames int, err error)
	// SeekTo makes Read go on at a frame, which must be there.
	SeekTo(frame int64) error
	Close() error
}

// Open opens a recording. The kind of file is told by its first bytes, not by
// its name. The error is one line that says what is wrong and what to do. The
// context ends a run of ffmpeg. Where a container holds several sounds, as
// cameras write that give each microphone its own, their channels follow one
// another.
func Open(ctx context.Context, path string) (Reader, error) { return OpenSound(ctx, path, 0) }

// OpenSound opens one of the sounds of a container: its number from 1.
func OpenSound(ctx context.Context, path string, number int) (Reader, error) {
	if path == "-" {
		return nil, errors.New("open -: sound is read from a file only: name it, or write ./- for a file of that name")
	}
	head, err := firstBytes(path)
	if err != nil {
		return nil, err
	}
	var single func() (Reader, error)
	switch {
	case bytes.HasPrefix(head, []byte("fLaC")):
		single = func() (Reader, error) { return openFLAC(path) }
	case wave(head):
		single = func() (Reader, error) { return openWave(ctx, path) }
	case len(head) == 0:
		return nil, fmt.Errorf("open %s: the file is empty", path)
	case text(head):
		return nil, fmt.Errorf("open %s: this is text, not sound", path)
	default:
		return openForeign(ctx, path, number, "neither WAV nor FLAC")
	}
	if number > 1 {
		return nil, fmt.Errorf("open %s: a file of this kind holds one sound, there is no sound track %d", path, number)
	}
	return single()
}

// waveReader is a WAV file with what its chunks say.
type waveReader struct{ *wavfile.Reader }

// openWave leaves to ffmpeg what is no plain WAV.
func openWave(ctx context.Context, path string) (Reader, error) {
	r, err := wavfile.Open(path)
	var unknown wavfile.UnknownEncoding
	if errors.As(err, &unknown) {
		return openForeign(ctx, path, 0, unknown.What)
	}
	if err != nil {
		return nil, err
	}
	return waveReader{r}, nil
}

func (r waveReader) Encoding() wavfile.Encoding { return r.Reader.Encoding().Written() }

func (r waveReader) Tracks() []track.Track {
	return track.Named(bwf.TrackNames(r.Layout().Payload("iXML")), r.Format().Channels)
}

func (r waveReader) Tags() (tags []riff.Chunk) {
	for _, s := range r.Layout().Chunks {
		if !tag(s.ID) || s.Torn() {
			continue
		}
		if raw := r.Layout().Bytes(s); raw != nil {
			tags = append(tags, riff.Chunk{ID: s.ID, Payload: raw})
		}
	}
	return tags
}

func tag(id string) bool { return id == "bext" || id == "iXML" || id == "cue " || id == "LIST" }

func wave(head []byte) bool {
	for _, id := range []string{"RIFF", "RF64", "BW64"} {
		if bytes.HasPrefix(head, []byte(id)) {
			return len(head) < 12 || string(head[8:12]) == "WAVE"
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
	switch info, err := f.Stat(); {
	case err == nil && info.IsDir():
		return nil, fmt.Errorf("open %s: that is a folder: give a file in it", path)
	case err != nil || !info.Mode().IsRegular():
		return nil, fmt.Errorf("open %s: not a file", path)
	}
	head := make([]byte, 64)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	return head[:n], nil
}

// CutShort tells of a file that was never closed or lost its end, nil if whole.
func CutShort(path string, r Reader) error {
	if !r.Truncated() {
		return nil
	}
	length := float64(r.Frames()) / float64(r.Format().RateHz)
	return fmt.Errorf("%s was never closed or is cut short: reading the %.1f s that are there", path, length)
}
