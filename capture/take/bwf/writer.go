package bwf

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"rollready/capture"
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
	at         places
	bextAt     int64
	ixmlAt     int64
	ixmlBytes  int
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
	w.at = places{form: "RIFF", room: ds64Bytes, frameBytes: int64(e.Bytes() * f.Channels)}
	_, errWrite := file.WriteAt(w.head(m), 0)
	if err := errors.Join(errWrite, file.Sync(), whole.SyncFolder(filepath.Dir(path))); err != nil {
		_ = file.Close()
		_ = os.Remove(path)
		return nil, fmt.Errorf("create %s: %w", path, err)
	}
	return w, nil
}

// head is everything before the samples, for a file without sound, and notes
// where its parts lie.
func (w *Writer) head(m Meta) []byte {
	head := []byte("RIFF\x00\x00\x00\x00WAVE")
	head = appendChunk(head, "JUNK", make([]byte, ds64Bytes))
	w.bextAt = int64(len(head)) + 8
	head = appendChunk(head, "bext", appendBext(nil, m, w.format, w.encoding))
	head = appendChunk(head, "fmt ", wavfile.AppendFormat(nil, w.format, w.encoding))
	w.ixmlAt = int64(len(head)) + 8
	doc := newIXML(m, w.format, w.encoding, 0)
	w.ixmlBytes = len(doc)
	head = appendChunk(head, "iXML", doc)
	if w.encoding.IsFloat() || w.format.Channels > 2 {
		w.at.factAt = int64(len(head)) + 8
		head = appendChunk(head, "fact", make([]byte, 4))
	}
	head = appendChunk(head, "data", nil)
	w.at.dataAt = int64(len(head))
	size := uint32(len(head) - 8)
	head[4], head[5], head[6], head[7] = byte(size), byte(size>>8), byte(size>>16), byte(size>>24)
	return head
}

// Frames is the number of frames written; the header may not know the last yet.
func (w *Writer) Frames() int64 { return w.frames }

// Good is the number of frames the header speaks of.
func (w *Writer) Good() int64 { return w.good / w.at.frameBytes }

// Write appends whole frames of interleaved samples. After an error nothing
// more is written and Close keeps what was whole.
func (w *Writer) Write(block []float32) error {
	if w.err != nil {
		return w.err
	}
	w.scratch = w.encoding.Append(w.scratch[:0], block)
	if _, err := w.file.WriteAt(w.scratch, w.at.dataAt+w.bytes()); err != nil {
		w.err = fmt.Errorf("write samples: %w", err)
		return w.err
	}
	w.frames += int64(len(block) / w.format.Channels)
	return nil
}

func (w *Writer) bytes() int64 { return w.frames * w.at.frameBytes }

// MakeGood syncs the samples written so far and then makes the header speak
// of them. It syncs once: the patched header itself is safe against a power
// cut with the next call.
func (w *Writer) MakeGood() error {
	if w.distrusted {
		return w.err
	}
	bytes := w.bytes()
	if bytes%2 == 1 { // the pad byte comes only at the end
		bytes -= w.at.frameBytes
	}
	return w.claim(bytes, w.at.dataAt+bytes)
}

// claim syncs, then patches. After a failed sync nobody knows what is on the
// disk, so the header stays as it was.
func (w *Writer) claim(bytes, end int64) error {
	if err := w.file.Sync(); err != nil {
		w.distrusted = true
		w.err = errors.Join(w.err, fmt.Errorf("sync: %w", err))
		return w.err
	}
	if err := w.at.patch(w.file, bytes, end); err != nil {
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
	end := w.at.dataAt + w.bytes()
	tail := appendMarkers(make([]byte, w.bytes()%2), markers)
	if _, err := w.file.WriteAt(tail, end); err != nil {
		failed = errors.Join(failed, fmt.Errorf("write the markers: %w", err))
		tail = tail[:0]
	}
	errCut := w.file.Truncate(end + int64(len(tail)))
	errGood := w.claim(w.bytes(), end+int64(len(tail)))
	errMeta := w.writeMeta(m)
	return errors.Join(failed, errCut, errGood, errMeta, w.file.Sync(), w.file.Close())
}

// writeMeta overwrites bext and iXML with the same number of bytes each.
func (w *Writer) writeMeta(m Meta) error {
	_, errBext := w.file.WriteAt(appendBext(nil, m, w.format, w.encoding), w.bextAt)
	var errDoc error
	if doc := newIXML(m, w.format, w.encoding, w.ixmlBytes); doc != nil {
		_, errDoc = w.file.WriteAt(doc, w.ixmlAt)
	}
	return errors.Join(errBext, errDoc)
}
