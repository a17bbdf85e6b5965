package wavfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// Bounds on what a header may claim, so that a small hostile file can't make
// us allocate or search for long.
const (
	maxChunks     = 1024
	maxChunkBytes = 1 << 20
)

// unknown is the 32-bit size that means: see ds64, or nobody knew.
const unknown = 0xFFFFFFFF

// span is where a chunk's payload lies in the file.
type span struct{ at, size int64 }

// layout is what the walk over the chunks found.
type layout struct {
	chunks    map[string]span // first of each id; a LIST goes by its list type
	data      span            // really there
	truncated bool            // data is not as long as the header says
}

// walker goes from chunk to chunk. Sizes of RF64 chunks come from ds64.
type walker struct {
	file  io.ReaderAt
	size  int64 // of the file
	sizes map[string]uint64
	found layout
}

// walk finds the chunks of a file of so many bytes.
func walk(file io.ReaderAt, size int64) (layout, error) {
	w := &walker{file: file, size: size, sizes: map[string]uint64{}, found: layout{chunks: map[string]span{}}}
	var head [12]byte
	if size < int64(len(head)) {
		return w.found, errors.New("too short to be a WAV file")
	}
	if _, err := file.ReadAt(head[:], 0); err != nil {
		return w.found, err
	}
	form := string(head[:4])
	if form != "RIFF" && form != "RF64" && form != "BW64" || string(head[8:]) != "WAVE" {
		return w.found, errors.New("not a WAV file; convert it to WAV first")
	}
	at := int64(len(head))
	for range maxChunks {
		id, declared, ok := w.header(at)
		if !ok {
			break
		}
		length, err := w.take(id, at+8, declared)
		if err != nil {
			return w.found, err
		}
		at = w.next(at+8, length)
	}
	if w.found.data.at == 0 {
		return w.found, errors.New("no data chunk: the file holds no sound")
	}
	return w.found, nil
}

// header reads a chunk's id and 32-bit size; not ok at the end of the file or
// where no chunk can begin.
func (w *walker) header(at int64) (id string, size uint32, ok bool) {
	var head [8]byte
	if at > w.size-int64(len(head)) {
		return "", 0, false
	}
	if _, err := w.file.ReadAt(head[:], at); err != nil {
		return "", 0, false
	}
	for _, c := range head[:4] {
		if c < ' ' || c > '~' {
			return "", 0, false
		}
	}
	return string(head[:4]), binary.LittleEndian.Uint32(head[4:]), true
}

// take notes one chunk and gives the length of its payload in the file.
func (w *walker) take(id string, at int64, declared uint32) (int64, error) {
	want := uint64(declared)
	if long, ok := w.sizes[id]; ok && declared == unknown {
		want = long
	}
	rest := w.size - at
	length := rest
	if want < uint64(rest) {
		length = int64(want)
	}
	switch {
	case id == "data" && w.found.data.at == 0:
		if (want == 0 || declared == unknown && want == unknown) && !w.chunksFrom(at) {
			length, want = rest, unknown
		}
		w.found.data = span{at, length}
		w.found.truncated = uint64(length) != want
	case id == "ds64":
		return length, w.ds64(span{at, length})
	case id == "LIST":
		var kind [4]byte
		if length >= 4 {
			_, _ = w.file.ReadAt(kind[:], at)
			w.keep(string(kind[:]), span{at + 4, length - 4})
		}
	default:
		w.keep(id, span{at, length})
	}
	return length, nil
}

func (w *walker) keep(id string, s span) {
	if _, twice := w.found.chunks[id]; !twice {
		w.found.chunks[id] = s
	}
}

// chunksFrom tells whether the file ends at at, or goes on there with chunks
// that reach its end exactly: then a data chunk of no length was meant so.
func (w *walker) chunksFrom(at int64) bool {
	for range maxChunks {
		if at >= w.size {
			return true
		}
		_, size, ok := w.header(at)
		if !ok || at+8+int64(size) > w.size {
			return false
		}
		at += 8 + int64(size) + int64(size&1)
	}
	return false
}

// ds64 reads the 64-bit sizes of an RF64 or BW64 file.
func (w *walker) ds64(s span) error {
	if s.size < 28 {
		return fmt.Errorf("ds64 chunk of %d bytes: 28 are needed; the file is damaged", s.size)
	}
	raw := make([]byte, min(s.size, 28+12*maxChunks))
	if _, err := w.file.ReadAt(raw, s.at); err != nil {
		return err
	}
	w.sizes["data"] = binary.LittleEndian.Uint64(raw[8:])
	table := raw[28:]
	for range binary.LittleEndian.Uint32(raw[24:]) {
		if len(table) < 12 {
			break
		}
		w.sizes[string(table[:4])] = binary.LittleEndian.Uint64(table[4:])
		table = table[12:]
	}
	return nil
}

// next gives the place of the chunk after a payload. An odd one is followed
// by a pad byte, which some writers leave out: then a chunk begins where the
// pad byte should be.
func (w *walker) next(at, length int64) int64 {
	end := at + length
	if length%2 == 0 {
		return end
	}
	if _, _, padded := w.header(end + 1); !padded {
		if _, _, bare := w.header(end); bare {
			return end
		}
	}
	return end + 1
}
