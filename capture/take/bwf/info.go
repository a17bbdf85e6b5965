package bwf

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// Bounds on what a header may make us do.
const (
	maxChunks     = 1024
	maxChunkBytes = 1 << 20
)

// ErrBusy means that another program is writing the file.
var ErrBusy = errors.New("another program is writing this file")

// ErrNoSound means that a file ends before its first sample.
var ErrNoSound = errors.New("the file ends before its first sample")

// Info is what a file's chunks say. A plain value.
type Info struct {
	Format   capture.Format
	Encoding wavfile.Encoding
	Frames   int64 // by the header, but no more than exist
	Meta     Meta
	Bext     *Bext // nil if there is none
	Markers  []Marker

	at       places
	bextAt   int64
	ixmlAt   int64
	ixmlSize int
	size     int64 // of the file
	riffEnd  int64 // by the header
	declared int64 // bytes of data by the header
	promised int64 // bytes of data by ds64, 0 if there is none
	tailEnd  int64 // end of the last whole chunk behind data; end of data if there is none
}

// Read reads the chunks of a file, not its samples. It reads whatever is
// whole of a torn file; the error says why nothing could be read.
func Read(path string) (Info, error) {
	f, err := os.Open(path)
	if err != nil {
		return Info{}, err
	}
	defer f.Close()
	stat, err := f.Stat()
	if err != nil {
		return Info{}, err
	}
	info, err := ReadFrom(f, stat.Size())
	if err != nil {
		return info, fmt.Errorf("read %s: %w", path, err)
	}
	return info, nil
}

// ReadFrom is Read for a file of so many bytes.
func ReadFrom(f io.ReaderAt, size int64) (Info, error) {
	var head [12]byte
	if n, _ := f.ReadAt(head[:], 0); n < len(head) {
		return Info{}, ErrNoSound
	}
	form := string(head[:4])
	if form != "RIFF" && form != "RF64" && form != "BW64" || string(head[8:]) != "WAVE" {
		return Info{}, errors.New("not a WAV file")
	}
	s := &scan{f: f, parts: map[string][]byte{}}
	s.size, s.at.form = size, form
	s.riffEnd = 8 + int64(binary.LittleEndian.Uint32(head[4:]))
	at := int64(len(head))
	for range maxChunks {
		next, ok := s.chunk(at)
		if !ok {
			break
		}
		at = next
	}
	return s.finish()
}

// scan walks from chunk to chunk.
type scan struct {
	Info
	f     io.ReaderAt
	parts map[string][]byte // payloads worth keeping; a LIST by its type
}

// chunk takes the chunk at at; not ok where none begins or it is torn. A data
// chunk that is longer than the file ends the walk.
func (s *scan) chunk(at int64) (next int64, ok bool) {
	var head [8]byte
	if n, _ := s.f.ReadAt(head[:], at); n < len(head) || !printable(head[:4]) {
		return 0, false
	}
	id, size := string(head[:4]), int64(binary.LittleEndian.Uint32(head[4:]))
	payload := at + 8
	if id == "data" && s.at.dataAt == 0 {
		if size == unknown && s.parts["ds64"] != nil {
			size = s.promised
		}
		s.at.dataAt, s.declared = payload, size
		s.tailEnd = min(payload+size, s.size)
		return payload + size + size%2, payload+size <= s.size
	}
	if payload+size > s.size {
		return 0, false
	}
	s.keep(id, payload, size)
	next = payload + size + size%2
	if s.at.dataAt > 0 {
		s.tailEnd = min(next, s.size)
	}
	return next, true
}

func (s *scan) keep(id string, at, size int64) {
	switch id {
	case "JUNK", "ds64":
		if at == 20 {
			s.at.room = size
		}
	case "fact":
		s.at.factAt = at
	case "bext":
		s.bextAt = at
	case "iXML":
		s.ixmlAt, s.ixmlSize = at, int(min(size, maxChunkBytes))
	}
	if size > maxChunkBytes || id == "JUNK" {
		return
	}
	raw := make([]byte, size)
	if n, _ := s.f.ReadAt(raw, at); n < len(raw) {
		return
	}
	if id == "LIST" && size >= 4 {
		id, raw = string(raw[:4]), raw[4:]
	}
	if id == "ds64" && size >= ds64Bytes && s.at.form != "RIFF" {
		s.riffEnd = 8 + int64(binary.LittleEndian.Uint64(raw)&(1<<62-1))
		s.promised = int64(binary.LittleEndian.Uint64(raw[8:]) & (1<<62 - 1))
	}
	if _, twice := s.parts[id]; !twice {
		s.parts[id] = raw
	}
}

// finish makes sense of what was found.
func (s *scan) finish() (Info, error) {
	if s.at.dataAt == 0 {
		return s.Info, ErrNoSound
	}
	if s.parts["fmt "] == nil {
		return s.Info, errors.New("no fmt chunk: the file is damaged")
	}
	var err error
	if s.Format, s.Encoding, err = wavfile.ParseFormat(s.parts["fmt "]); err != nil {
		return s.Info, err
	}
	s.at.frameBytes = int64(s.Encoding.Bytes() * s.Format.Channels)
	s.Frames = min(s.declared, s.size-s.at.dataAt) / s.at.frameBytes
	s.Markers = parseMarkers(s.parts["cue "], s.parts["adtl"])
	parseIXML(s.parts["iXML"], &s.Meta)
	if b, ok := parseBext(s.parts["bext"]); ok {
		s.Bext = &b
		s.Meta.Started = b.started(s.Format.RateHz)
	}
	return s.Info, nil
}

// started joins the date with the time reference, which is finer than the
// time; zero where the date makes no sense.
func (b Bext) started(rateHz int) time.Time {
	day, err := time.ParseInLocation("2006-01-02", b.Date, time.Local)
	if err != nil || b.TimeReference >= uint64(rateHz)*86400 {
		return time.Time{}
	}
	seconds, rest := b.TimeReference/uint64(rateHz), b.TimeReference%uint64(rateHz)
	y, m, d := day.Date()
	return time.Date(y, m, d, 0, 0, int(seconds), int(rest*uint64(time.Second)/uint64(rateHz)), time.Local)
}

func printable(id []byte) bool {
	for _, c := range id {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}
