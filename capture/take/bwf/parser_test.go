package bwf

import (
	"encoding/binary"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// parsed is a file taken apart by the tables of EBU Tech 3285 v2, EBU Tech
// 3306 and RIFF 1.0, with no code of the package under test.
type parsed struct {
	form                         string
	order                        []string
	payload                      map[string][]byte
	at                           map[string]int64 // payloads
	riffSize, dataSize, frames64 uint64
	length                       int64
	bext, fmt, cue, adtl, iXML   []byte
	dataAt                       int64
	dataField, riffField         uint32
}

// parse demands a file that is whole: chunks that fill it exactly, sizes that
// agree with its length, even sizes before data.
func parse(t testing.TB, path string) parsed {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	stat, err := f.Stat()
	require.NoError(t, err)
	return parseFrom(t, f, stat.Size())
}

func parseFrom(t testing.TB, f io.ReaderAt, size int64) parsed {
	t.Helper()
	p := parsed{payload: map[string][]byte{}, at: map[string]int64{}, length: size}
	head := bytesAt(t, f, 0, 12)
	p.form, p.riffField = string(head[:4]), u32(head[4:])
	require.Equal(t, "WAVE", string(head[8:]))
	p.riffSize = uint64(p.riffField)
	for at := int64(12); at < p.length; {
		h := bytesAt(t, f, at, 8)
		id, size := string(h[:4]), int64(u32(h[4:]))
		if id == "data" {
			p.dataField, p.dataAt = u32(h[4:]), at+8
			if p.dataField == 0xFFFFFFFF {
				size = int64(p.dataSize)
			}
			p.dataSize = uint64(size)
		} else {
			if p.dataAt == 0 {
				require.Zero(t, size%2, "chunk %s before data is odd-sized", id)
			}
			p.payload[id], p.at[id] = bytesAt(t, f, at+8, size), at+8
		}
		if id == "ds64" {
			require.Equal(t, int64(12), at)
			p.riffSize = binary.LittleEndian.Uint64(p.payload[id])
			p.dataSize = binary.LittleEndian.Uint64(p.payload[id][8:])
			p.frames64 = binary.LittleEndian.Uint64(p.payload[id][16:])
			require.Zero(t, u32(p.payload[id][24:]))
		}
		p.order = append(p.order, strings.TrimSpace(id))
		at += 8 + size + size%2
		require.LessOrEqual(t, at, p.length, "chunk %s reaches past the end", id)
	}
	require.Equal(t, uint64(p.length-8), p.riffSize)
	p.bext, p.fmt, p.cue, p.adtl, p.iXML = p.payload["bext"], p.payload["fmt "], p.payload["cue "], p.payload["LIST"], p.payload["iXML"]
	return p
}

// cues gives places and names, by the tables of cue and LIST adtl.
func (p parsed) cues(t testing.TB) []Marker {
	t.Helper()
	if p.cue == nil {
		return nil
	}
	names := map[uint32]string{}
	require.Equal(t, "adtl", string(p.adtl[:4]))
	for rest := p.adtl[4:]; len(rest) > 0; {
		size := int(u32(rest[4:]))
		require.Equal(t, "labl", string(rest[:4]))
		require.Zero(t, rest[8+size-1])
		names[u32(rest[8:])] = string(rest[12 : 8+size-1])
		rest = rest[8+size+size%2:]
	}
	require.Len(t, p.cue, 4+24*int(u32(p.cue)))
	var got []Marker
	for rec := p.cue[4:]; len(rec) > 0; rec = rec[24:] {
		require.Equal(t, "data", string(rec[8:12]))
		require.Equal(t, u32(rec[4:]), u32(rec[20:]))
		require.Zero(t, u32(rec[12:])+u32(rec[16:]))
		got = append(got, Marker{int64(u32(rec[20:])), names[u32(rec)]})
	}
	return got
}

func bytesAt(t testing.TB, f io.ReaderAt, at, n int64) []byte {
	t.Helper()
	raw := make([]byte, n)
	_, err := f.ReadAt(raw, at)
	require.NoError(t, err)
	return raw
}

func u32(raw []byte) uint32 { return binary.LittleEndian.Uint32(raw) }
