package bwf

import (
	"encoding/binary"
	"errors"
	"io"
)

// ds64Bytes is the least payload of ds64, and what JUNK keeps free for it.
const ds64Bytes = 28

// unknown stands in a 32-bit size whose true value is in ds64.
const unknown = 0xFFFFFFFF

// ErrNoRoom means that a file passes 4 GiB but has no reserved chunk.
var ErrNoRoom = errors.New("the file passes 4 GiB and has no room for 64-bit sizes; convert it with another program")

// places is where the sizes lie in a file.
type places struct {
	form       string // RIFF, RF64 or BW64
	room       int64  // payload bytes of JUNK or ds64 at offset 12, 0 if neither is there
	factAt     int64  // payload of fact; 0 if there is none
	dataAt     int64  // payload of data
	frameBytes int64
}

// patch states that the samples are so many bytes and the RIFF form ends at
// end. Both must be in the file, and synced, before.
//
// The order holds a half-done patch readable: each state between two writes
// is a valid file with the old or the new length. On the way to RF64 the
// first sector changes at once while data still has its old 32-bit size,
// which counts as it stands; after that only the first sector changes.
func (p *places) patch(f io.WriterAt, dataBytes, end int64) error {
	frames := dataBytes / p.frameBytes
	if p.form == "RIFF" && end-8 < unknown {
		return errors.Join(p.patchData(f, uint32(dataBytes), frames), write32(f, 4, uint32(end-8)))
	}
	if p.room < ds64Bytes {
		return ErrNoRoom
	}
	head := []byte("RF64\xff\xff\xff\xffWAVEds64")
	head = binary.LittleEndian.AppendUint32(head, uint32(p.room))
	for _, size := range []int64{end - 8, dataBytes, frames} {
		head = binary.LittleEndian.AppendUint64(head, uint64(size))
	}
	if p.form == "RIFF" {
		head = append(head, 0, 0, 0, 0) // no table; a ds64 that was there keeps its own
		p.form = "RF64"
	}
	copy(head, p.form)
	if _, err := f.WriteAt(head, 0); err != nil {
		return err
	}
	return p.patchData(f, unknown, min(frames, unknown))
}

func (p *places) patchData(f io.WriterAt, size uint32, frames int64) error {
	if p.factAt > 0 {
		if err := write32(f, p.factAt, uint32(frames)); err != nil {
			return err
		}
	}
	return write32(f, p.dataAt-4, size)
}

func write32(f io.WriterAt, at int64, v uint32) error {
	_, err := f.WriteAt(binary.LittleEndian.AppendUint32(nil, v), at)
	return err
}
