package bwf

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/riff"
	"rollready/capture/wavfile"
	"rollready/presets/whole"
)

// File is what a Writer needs of a file on disk.
type File interface {
	io.WriterAt
	io.Closer
	Sync() error
	Truncate(size int64) error
}

// OpenFunc makes a new file; it fails where one of that name exists.
type OpenFunc func(path string) (File, error)

// Open makes a new file, locked against other programs that heed the lock,
// and fails with fs.ErrExist where one of that name exists.
func Open(path string) (File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, err
	}
	if err := lock(f); err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("lock %s: %w", path, err)
	}
	return f, nil
}

// Writer writes one file. One goroutine uses it.
type Writer struct {
	file       File
	format     capture.Format
	encoding   wavfile.Encoding
	places     riff.Places
	tags       tags
	frames     int64 // written
	good       int64 // bytes of samples the header speaks of
	scratch    []byte
	err        error // a write failed: no more is written
	distrusted bool  // a sync failed: the header is not moved on any more
}

// Create makes a new file with a valid header and no sound, synced. open nil
// is Open. The file exists afterwards only if err is nil.
func Create(path string, f capture.Format, e wavfile.Encoding, m Meta, open OpenFunc) (*Writer, error) {
	if err := wavfile.CheckFormat(f); err != nil {
		return nil, fmt.Errorf("create %s: %w", path, err)
	}
	if open == nil {
		open = Open
	}
	file, err := open(path)
	if err != nil {
		return nil, err
	}
	w := &Writer{file: file, format: f, encoding: e}
	head := newHead(m, f, e, 0)
	var l riff.Layout
	w.places, l = riff.PlacesOf(head, e.Bytes()*f.Channels)
	w.tags = tagsOf(&l)
	_, errWrite := file.WriteAt(head, 0)
	if err := errors.Join(errWrite, file.Sync(), whole.SyncFolder(filepath.Dir(path))); err != nil {
		_ = file.Close()
		_ = os.Remove(path)
		return nil, fmt.Errorf("create %s: %w", path, err)
	}
	return w, nil
}

// newHead is everything before the samples, for a file without sound, of so
// many bytes; 0 leaves room in iXML, nil is too few.
func newHead(m Meta, f capture.Format, e wavfile.Encoding, size int) []byte {
	with := func(doc []byte) []byte {
		chunks := []riff.Chunk{{ID: "bext", Payload: appendBext(nil, m, f, e)}, wavfile.FormatChunk(f, e), {ID: "iXML", Payload: doc}}
		return riff.Begin(append(chunks, wavfile.FactChunk(f, e)...)...)
	}
	if size == 0 {
		return with(newIXML(m, f, e, 0))
	}
	room := size - len(with(nil))
	if room <= 0 || room%2 == 1 {
		return nil
	}
	if doc := newIXML(m, f, e, room); doc != nil {
		return with(doc)
	}
	return nil
}

// tags is where bext and iXML lie; a Span of no size where they do not.
type tags struct{ bext, ixml riff.Span }

func tagsOf(l *riff.Layout) (t tags) {
	t.bext, _ = l.Find("bext")
	t.ixml, _ = l.Find("iXML")
	return t
}

// update overwrites bext and iXML, each within its room.
func (t tags) update(file io.WriterAt, m Meta, f capture.Format, e wavfile.Encoding) (err error) {
	if raw := appendBext(nil, m, f, e); int64(len(raw)) <= t.bext.Size {
		_, err = file.WriteAt(raw, t.bext.At)
	}
	if doc := newIXML(m, f, e, int(t.ixml.Size)); doc != nil && t.ixml.Size > 0 {
		_, errDoc := file.WriteAt(doc, t.ixml.At)
		err = errors.Join(err, errDoc)
	}
	return err
}

// Frames is the number of frames written; the header may not know the last yet.
func (w *Writer) Frames() int64 { return w.frames }

// Good is the number of frames the header speaks of.
func (w *Writer) Good() int64 { return w.good / w.places.FrameBytes }

// Write appends whole frames of interleaved samples. After an error nothing
// more is written and Close keeps what was whole.
func (w *Writer) Write(block []float32) error {
	if w.err != nil {
		return w.err
	}
	w.scratch = wavfile.Append(w.encoding, w.scratch[:0], block)
	if _, err := w.file.WriteAt(w.scratch, w.places.DataAt+w.bytes()); err != nil {
		w.err = fmt.Errorf("write samples: %w", err)
		return w.err
	}
	w.frames += int64(len(block) / w.format.Channels)
	return nil
}

func (w *Writer) bytes() int64 { return w.frames * w.places.FrameBytes }

// MakeGood syncs the samples written so far and then makes the header speak
// of them. It syncs once: the patched header itself is safe against a power
// cut with the next call.
func (w *Writer) MakeGood() error {
	if w.distrusted {
		return w.err
	}
	bytes := w.bytes()
	if bytes%2 == 1 { // the pad byte comes only at the end
		bytes -= w.places.FrameBytes
	}
	return w.claim(bytes, w.places.DataAt+bytes)
}

// claim syncs, then patches. After a failed sync nobody knows what is on the
// disk, so the header stays as it was.
func (w *Writer) claim(bytes, end int64) error {
	if err := w.file.Sync(); err != nil {
		w.distrusted = true
		w.err = errors.Join(w.err, fmt.Errorf("sync: %w", err))
		return w.err
	}
	if err := w.places.Patch(w.file, bytes, end); err != nil {
		w.err = errors.Join(w.err, fmt.Errorf("patch the header: %w", err))
		return w.err
	}
	w.good = bytes
	return nil
}

// Close appends the markers, brings Meta up to date, makes the sizes good and
// closes the file. Where an earlier write failed, or there is no room for the
// markers, the whole frames are kept and the error says what is missing.
func (w *Writer) Close(m Meta, markers []Marker) error {
	failed := w.err
	if w.distrusted {
		return errors.Join(failed, w.file.Close())
	}
	end := w.places.DataAt + w.bytes()
	tail := appendMarkers(make([]byte, w.bytes()%2), markers)
	if _, err := w.file.WriteAt(tail, end); err != nil {
		failed = errors.Join(failed, fmt.Errorf("write the markers: %w", err))
		tail = tail[:0]
	}
	errCut := w.file.Truncate(end + int64(len(tail)))
	errGood := w.claim(w.bytes(), end+int64(len(tail)))
	errMeta := w.tags.update(w.file, m, w.format, w.encoding)
	return errors.Join(failed, errCut, errGood, errMeta, w.file.Sync(), w.file.Close())
}
