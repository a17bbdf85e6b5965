package wavfile

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/riff"
	"rollready/presets/whole"
)

// Writer writes frames to a WAV file. One goroutine uses it. The sizes in the
// header are filled in by Close.
type Writer struct {
	file     *os.File
	final    string // "" or the name the file gets on Close
	format   capture.Format
	encoding Encoding
	places   riff.Places
	behind   []byte // the samples: markers and lists
	data     int64  // bytes of samples
	raw      []byte
	err      error // once failed, stays failed
	done     bool  // closed or given up
}

// Create makes a new file and fails where one of that name exists.
func Create(path string, f capture.Format, e Encoding, tags ...riff.Chunk) (*Writer, error) {
	if err := CheckFormat(f); err != nil {
		return nil, fmt.Errorf("create %s: %w", path, err)
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, whole.Named(err, path)
	}
	return begin(file, "", f, e, tags)
}

// Replace writes beside path under another name and takes the place of path
// on Close, at once and whole. Until then path is as it was. The tags, chunks
// of other programs' making, go with it.
func Replace(path string, f capture.Format, e Encoding, tags ...riff.Chunk) (*Writer, error) {
	if err := CheckFormat(f); err != nil {
		return nil, fmt.Errorf("replace %s: %w", path, err)
	}
	if path == "" {
		return nil, whole.ErrNoName
	}
	file, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.part")
	if err != nil {
		return nil, whole.Named(err, path)
	}
	_ = file.Chmod(0o644) // a temporary file is the owner's alone
	return begin(file, path, f, e, tags)
}

func begin(file *os.File, final string, f capture.Format, e Encoding, tags []riff.Chunk) (*Writer, error) {
	w := &Writer{file: file, final: final, format: f, encoding: e}
	before := []riff.Chunk{FormatChunk(f, e)}
	for _, t := range tags {
		if t.ID == "cue " || t.ID == "LIST" {
			w.behind = riff.Append(w.behind, t)
		} else {
			before = append(before, t)
		}
	}
	head := riff.Begin(append(before, FactChunk(f, e)...)...)
	w.places, _ = riff.PlacesOf(head, e.Bytes()*f.Channels)
	if _, err := file.Write(head); err != nil {
		w.Abort()
		return nil, w.named(err)
	}
	return w, nil
}

// Encoding is how the samples lie in the file.
func (w *Writer) Encoding() Encoding { return w.encoding }

// Write appends whole frames.
func (w *Writer) Write(block []float32) error { return appendFrames(w, block) }

// Write64 is Write without loss for any encoding.
func (w *Writer) Write64(block []float64) error { return appendFrames(w, block) }

func appendFrames[T float32 | float64](w *Writer, block []T) error {
	if len(block)%w.format.Channels != 0 {
		return fmt.Errorf("write %d samples: not whole frames of %d channels", len(block), w.format.Channels)
	}
	if w.err != nil {
		return w.err
	}
	w.raw = Append(w.encoding, w.raw[:0], block)
	n, err := w.file.Write(w.raw)
	w.data += int64(n)
	w.err = w.named(err)
	return w.err
}

// named gives an error the name that the file is to get.
func (w *Writer) named(err error) error {
	if w.final == "" {
		return err
	}
	return whole.Named(err, w.final)
}

// Close fills in the sizes, syncs, and gives the file its name. After a
// failed Write it removes what was written and gives that error.
func (w *Writer) Close() error {
	if w.err == nil {
		w.err = w.named(w.finish())
	}
	if w.err != nil {
		err := w.err
		w.Abort()
		return err
	}
	w.err, w.done = os.ErrClosed, true
	return nil
}

func (w *Writer) finish() error {
	tail := append(make([]byte, w.data%2), w.behind...)
	if _, err := w.file.Write(tail); err != nil {
		return err
	}
	// The samples must be on the disk before a header says that they are.
	if err := w.file.Sync(); err != nil {
		return err
	}
	errHead := w.places.Patch(w.file, w.data, w.places.DataAt+w.data+int64(len(tail)))
	if err := errors.Join(errHead, w.file.Sync(), w.file.Close()); err != nil {
		return err
	}
	if w.final == "" {
		return nil
	}
	return whole.Replace(w.file.Name(), w.final)
}

// Abort gives up: the file being written is removed. It may follow Close,
// where it does nothing.
func (w *Writer) Abort() {
	if w.done {
		return
	}
	w.err, w.done = os.ErrClosed, true
	_ = w.file.Close()
	_ = os.Remove(w.file.Name())
}

var _ io.Closer = (*Writer)(nil)
