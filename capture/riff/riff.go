// Package riff reads and writes the chunks of WAVE files: RIFF, and RF64 or
// BW64 (EBU Tech 3306, ITU-R BS.2088) where they pass 4 GiB. What the chunks
// mean is for others to know; only data, fact and ds64 are known here.
package riff

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
)

// Bounds on what a header may claim, so that a small hostile file can't make
// us allocate or search for long.
const (
	maxChunks  = 1024
	maxPayload = 1 << 20
)

// unknown is the 32-bit size that means: see ds64, or nobody knew.
const unknown = 0xFFFFFFFF

// endless is the size declared for a chunk whose writer did not know it.
const endless = int64(1) << 62

// ErrNoData means that a file ends before its first sample.
var ErrNoData = errors.New("no data chunk: the file holds no sound")

// Span is where a chunk lies in a file.
type Span struct {
	ID       string // four characters
	Kind     string // list type of a LIST, else ""
	At       int64  // its payload
	Size     int64  // bytes of the payload that are really there
	Declared int64  // by its header or ds64
}

// Torn tells that a chunk is not as long as its header says.
func (s Span) Torn() bool { return s.Size != s.Declared }

// Layout is what the walk over the chunks found.
type Layout struct {
	Form   string // RIFF, RF64 or BW64
	Size   int64  // of the file
	End    int64  // of the form, as the header says
	Chunks []Span // in their order, data among them
	Data   Span   // the first of its kind; At is 0 if there is none
	file   io.ReaderAt
	long   map[string]int64 // 64-bit sizes by ds64; nil where there is none
}

// Walk finds the chunks of a file of so many bytes. A file without data gives
// ErrNoData and what was found.
func Walk(file io.ReaderAt, size int64) (Layout, error) {
	l := Layout{file: file, Size: size}
	var head [12]byte
	if n, err := file.ReadAt(head[:], 0); n < len(head) || size < int64(len(head)) {
		return l, errors.Join(errors.New("too short to be a WAV file"), unlessEOF(err))
	}
	l.Form, l.End = string(head[:4]), 8+int64(binary.LittleEndian.Uint32(head[4:]))
	if l.Form != "RIFF" && l.Form != "RF64" && l.Form != "BW64" || string(head[8:]) != "WAVE" {
		return l, errors.New("not a WAV file")
	}
	for at := int64(len(head)); len(l.Chunks) < maxChunks; {
		id, declared, ok := l.header(at)
		if !ok {
			break
		}
		s, err := l.take(id, at+8, declared)
		if err != nil {
			return l, err
		}
		l.Chunks = append(l.Chunks, s)
		at = l.next(s)
	}
	if l.Data.At == 0 {
		return l, ErrNoData
	}
	return l, nil
}

func unlessEOF(err error) error {
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// header reads a chunk's id and 32-bit size; not ok at the end of the file or
// where no chunk can begin.
func (l *Layout) header(at int64) (id string, size uint32, ok bool) {
	var head [8]byte
	if at > l.Size-int64(len(head)) {
		return "", 0, false
	}
	if n, _ := l.file.ReadAt(head[:], at); n < len(head) {
		return "", 0, false
	}
	for _, c := range head[:4] {
		if c < ' ' || c > '~' {
			return "", 0, false
		}
	}
	return string(head[:4]), binary.LittleEndian.Uint32(head[4:]), true
}

// take notes one chunk.
func (l *Layout) take(id string, at int64, size uint32) (Span, error) {
	s := Span{ID: id, At: at, Declared: int64(size)}
	if long, ok := l.long[id]; size == unknown && ok {
		s.Declared = long
	} else if size == unknown && id == "data" {
		s.Declared = endless
	}
	rest := l.Size - at
	s.Size = min(rest, s.Declared)
	switch {
	case id == "data" && l.Data.At == 0:
		if (s.Declared == 0 || s.Declared == endless) && !l.chunksFrom(at) {
			s.Size = rest // its writer never came to fill in the size
		}
		l.Data = s
	case id == "ds64" && l.long == nil:
		return s, l.ds64(s)
	case id == "LIST" && s.Size >= 4:
		var kind [4]byte
		_, _ = l.file.ReadAt(kind[:], at)
		s.Kind = string(kind[:])
	}
	return s, nil
}

// chunksFrom tells whether the file ends at at, or goes on there with chunks
// that reach its end exactly: then a data chunk of no length was meant so.
func (l *Layout) chunksFrom(at int64) bool {
	for range maxChunks {
		if at >= l.Size {
			return true
		}
		_, size, ok := l.header(at)
		if !ok || at+8+int64(size) > l.Size {
			return false
		}
		at += 8 + int64(size) + int64(size&1)
	}
	return false
}

// ds64 reads the 64-bit sizes of an RF64 or BW64 file.
func (l *Layout) ds64(s Span) error {
	if s.Size < ds64Bytes {
		return fmt.Errorf("ds64 chunk of %d bytes: %d are needed; the file is damaged", s.Size, ds64Bytes)
	}
	raw := make([]byte, min(s.Size, ds64Bytes+12*maxChunks))
	if n, err := l.file.ReadAt(raw, s.At); n < len(raw) {
		return err
	}
	l.long = map[string]int64{"data": long(raw[8:])}
	if l.Form != "RIFF" {
		l.End = 8 + long(raw)
	}
	table := raw[ds64Bytes:]
	for range binary.LittleEndian.Uint32(raw[24:]) {
		if len(table) < 12 {
			break
		}
		if id := string(table[:4]); id != "data" {
			l.long[id] = long(table[4:])
		}
		table = table[12:]
	}
	return nil
}

// long reads a 64-bit size, so bounded that sums of sizes stay in range.
func long(raw []byte) int64 { return int64(min(binary.LittleEndian.Uint64(raw), uint64(endless))) }

// next gives the place of the chunk after one. An odd one is followed by a
// pad byte, zero, which some writers leave out: then a chunk begins where the
// pad byte should be. What a chunk's size makes of the bytes must not matter:
// writing it would move the chunk.
func (l *Layout) next(s Span) int64 {
	end := s.At + s.Size
	if s.Size%2 == 0 {
		return end
	}
	bare, _, ok := l.header(end)
	_, _, padded := l.header(end + 1)
	if ok && (!padded || usual(bare)) {
		return end
	}
	return end + 1
}

// usual tells whether WAV files have chunks of this id.
func usual(id string) bool {
	return slices.Contains([]string{"fmt ", "data", "fact", "LIST", "cue ", "bext", "iXML", "JUNK"}, id)
}

// Promised is the size of data by ds64 in bytes, also while data's own 32-bit
// size still counts; 0 where there is none.
func (l *Layout) Promised() int64 {
	if l.Form == "RIFF" {
		return 0
	}
	return l.long["data"]
}

// Find gives the first chunk of an id. A LIST goes by its list type ("adtl",
// "INFO"), and its payload then begins after that.
func (l *Layout) Find(id string) (Span, bool) {
	for _, s := range l.Chunks {
		if s.Kind == id && id != "" {
			return Span{ID: "LIST", Kind: id, At: s.At + 4, Size: s.Size - 4, Declared: s.Declared - 4}, true
		}
		if s.ID == id && id != "LIST" {
			return s, true
		}
	}
	return Span{}, false
}

// Payload gives what Find finds, as far as it is there; nil if there is none
// or it is longer than 1 MiB.
func (l *Layout) Payload(id string) []byte {
	s, ok := l.Find(id)
	if !ok {
		return nil
	}
	return l.Bytes(s)
}

// Bytes gives a chunk's payload; nil if it is longer than 1 MiB.
func (l *Layout) Bytes(s Span) []byte {
	if s.Size > maxPayload {
		return nil
	}
	raw := make([]byte, s.Size)
	if n, _ := l.file.ReadAt(raw, s.At); n < len(raw) {
		return nil
	}
	return raw
}
