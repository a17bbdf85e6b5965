package riff

import (
	"encoding/binary"
	"errors"
	"io"
)

// ds64Bytes is the least payload of ds64, and what JUNK keeps free for it.
const ds64Bytes = 28

// ErrNoRoom means that a file passes 4 GiB but has no reserved chunk.
var ErrNoRoom = errors.New("the file passes 4 GiB and has no room for 64-bit sizes; convert it with another program")

// Chunk is a chunk out of its file.
type Chunk struct {
	ID      string // four characters
	Payload []byte
}

// Append appends a chunk with its pad byte.
func Append(raw []byte, c Chunk) []byte {
	raw = binary.LittleEndian.AppendUint32(append(raw, c.ID...), uint32(len(c.Payload)))
	raw = append(raw, c.Payload...)
	return append(raw, make([]byte, len(c.Payload)%2)...)
}

// Begin gives everything before the samples of a file without sound: room for
// 64-bit sizes, the chunks, and the header of data. Where the chunks are
// even-sized the file is read by programs that do not skip pad bytes in RF64.
func Begin(chunks ...Chunk) []byte {
	head := Append([]byte("RIFF\x00\x00\x00\x00WAVE"), Chunk{"JUNK", make([]byte, ds64Bytes)})
	for _, c := range append(chunks, Chunk{ID: "data"}) {
		head = Append(head, c)
	}
	binary.LittleEndian.PutUint32(head[4:], uint32(len(head)-8))
	return head
}

// Places is where the sizes lie in a file.
type Places struct {
	DataAt     int64 // payload of data
	FrameBytes int64

	form   string
	room   int64 // payload bytes of JUNK or ds64 behind the form, 0 if neither is there
	junk   bool  // JUNK is there
	factAt int64 // payload of fact; 0 if there is none
}

// Places finds them in a file whose frames have so many bytes.
func (l *Layout) Places(frameBytes int) Places {
	p := Places{DataAt: l.Data.At, FrameBytes: int64(frameBytes), form: l.Form}
	if first := l.Chunks[0]; first.ID == "ds64" || first.ID == "JUNK" {
		p.room, p.junk = first.Size, first.ID == "JUNK"
	}
	if fact, ok := l.Find("fact"); ok && fact.Size >= 4 && fact.At < l.Data.At {
		p.factAt = fact.At
	}
	return p
}

// PlacesOf finds them in what Begin gave.
func PlacesOf(head []byte, frameBytes int) (Places, Layout) {
	l, _ := Walk(readerAt(head), int64(len(head)))
	return l.Places(frameBytes), l
}

// readerAt reads bytes in memory.
type readerAt []byte

func (r readerAt) ReadAt(p []byte, at int64) (int, error) {
	n := copy(p, r[min(at, int64(len(r))):])
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}

// Patch states that the samples are so many bytes and the form ends at end.
// Both must be in the file, and synced, before.
//
// The order holds a half-done patch readable: each state between two writes
// is a valid file with the old or the new length. On the way to RF64 the
// first sector changes at once while data still has its old 32-bit size,
// which counts as it stands; after that only the first sector changes.
func (p *Places) Patch(f io.WriterAt, dataBytes, end int64) error {
	frames := dataBytes / p.FrameBytes
	if end-8 < unknown && (p.form == "RIFF" || p.room < ds64Bytes) {
		p.form = "RIFF" // an RF64 that has no ds64 is none
		errData := p.patchData(f, uint32(dataBytes), frames)
		_, err := f.WriteAt(binary.LittleEndian.AppendUint32([]byte(p.form), uint32(end-8)), 0)
		return errors.Join(errData, err)
	}
	if p.room < ds64Bytes {
		return ErrNoRoom
	}
	if p.form == "RIFF" {
		p.form = "RF64"
	}
	head := append([]byte(p.form), "\xff\xff\xff\xffWAVEds64"...)
	head = binary.LittleEndian.AppendUint32(head, uint32(p.room))
	for _, size := range []int64{end - 8, dataBytes, frames} {
		head = binary.LittleEndian.AppendUint64(head, uint64(size))
	}
	if p.junk {
		head = append(head, 0, 0, 0, 0) // no table; a ds64 that was there keeps its own
		p.junk = false
	}
	if _, err := f.WriteAt(head, 0); err != nil {
		return err
	}
	return p.patchData(f, unknown, min(frames, unknown))
}

func (p *Places) patchData(f io.WriterAt, size uint32, frames int64) error {
	if p.factAt > 0 {
		if err := write32(f, p.factAt, uint32(frames)); err != nil {
			return err
		}
	}
	return write32(f, p.DataAt-4, size)
}

func write32(f io.WriterAt, at int64, v uint32) error {
	_, err := f.WriteAt(binary.LittleEndian.AppendUint32(nil, v), at)
	return err
}
