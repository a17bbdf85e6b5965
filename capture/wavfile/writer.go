package wavfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/presets/whole"
)

// reserved is the room for ds64 at offset 12: without it a file could not
// become RF64 when it passes 4 GiB.
const reserved = 28

// Writer writes frames to a WAV file. One goroutine uses it. The sizes in the
// header are filled in by Close.
type Writer struct {
	file     *os.File
	final    string // "" or the name the file gets on Close
	format   capture.Format
	encoding Encoding
	header   int64 // bytes before the samples
	data     int64 // bytes of samples
	raw      []byte
	err      error // once failed, stays failed
	done     bool  // closed or given up
}

// Create makes a new file and fails where one of that name exists.
func Create(path string, f capture.Format, e Encoding) (*Writer, error) {
	if err := checkFormat(f); err != nil {
		return nil, fmt.Errorf("create %s: %w", path, err)
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, err
	}
	return begin(file, "", f, e)
}

// Replace writes beside path under another name and takes the place of path
// on Close, at once and whole. Until then path is as it was.
func Replace(path string, f capture.Format, e Encoding) (*Writer, error) {
	if err := checkFormat(f); err != nil {
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
	return begin(file, path, f, e)
}

func begin(file *os.File, final string, f capture.Format, e Encoding) (*Writer, error) {
	w := &Writer{file: file, final: final, format: f, encoding: e}
	head := w.head()
	w.header = int64(len(head))
	if _, err := file.Write(head); err != nil {
		w.Abort()
		return nil, w.named(err)
	}
	return w, nil
}

// head is everything before the samples, for the length written so far. All
// chunks are even-sized: some readers do not skip pad bytes in RF64.
func (w *Writer) head() []byte {
	var body []byte
	body = appendChunk(body, "fmt ", appendFormat(nil, w.format, w.encoding))
	frames := w.frames()
	if w.encoding.float() || w.format.Channels > 2 {
		body = appendChunk(body, "fact", binary.LittleEndian.AppendUint32(nil, uint32(min(frames, unknown))))
	}
	riff := 4 + 8 + reserved + int64(len(body)) + 8 + w.data + w.data&1
	form, riff32, data32, first, sizes := "RIFF", uint32(riff), uint32(w.data), "JUNK", make([]byte, 0, reserved)
	if riff >= unknown {
		form, riff32, data32, first = "RF64", unknown, unknown, "ds64"
		for _, size := range []int64{riff, w.data, frames} {
			sizes = binary.LittleEndian.AppendUint64(sizes, uint64(size))
		}
	}
	head := binary.LittleEndian.AppendUint32([]byte(form), riff32)
	head = append(head, "WAVE"...)
	head = appendChunk(head, first, sizes[:reserved])
	head = append(head, body...)
	head = append(head, "data"...)
	return binary.LittleEndian.AppendUint32(head, data32)
}

func appendChunk(raw []byte, id string, payload []byte) []byte {
	raw = binary.LittleEndian.AppendUint32(append(raw, id...), uint32(len(payload)))
	return append(raw, payload...)
}

func (w *Writer) frames() int64 {
	return w.data / int64(w.encoding.Bytes()*w.format.Channels)
}

// Write appends whole frames.
func (w *Writer) Write(block []float32) error {
	if len(block)%w.format.Channels != 0 {
		return fmt.Errorf("write %d samples: not whole frames of %d channels", len(block), w.format.Channels)
	}
	if w.err != nil {
		return w.err
	}
	w.raw = w.encoding.encode(w.raw[:0], block)
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
	if w.data%2 == 1 {
		if _, err := w.file.Write([]byte{0}); err != nil {
			return err
		}
	}
	// The samples must be on the disk before a header says that they are.
	if err := w.file.Sync(); err != nil {
		return err
	}
	_, errHead := w.file.WriteAt(w.head(), 0)
	if err := errors.Join(errHead, w.file.Sync(), w.file.Close()); err != nil {
		return err
	}
	if w.final == "" {
		return nil
	}
	return os.Rename(w.file.Name(), w.final)
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
