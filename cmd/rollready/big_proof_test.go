//go:build proof

package main

import (
	endian "encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/wavfile"
)

func TestProofAThousandFiles(t *testing.T) { damagedFiles(t, 1000) }

// A file of 4 GiB claims its size in RF64 only; a sparse one costs no disk.
func TestProofProcessReadsAndWritesBeyond4GiB(t *testing.T) {
	u := newUser(t)
	dir := t.TempDir()
	in, out := filepath.Join(dir, "big.wav"), filepath.Join(dir, "out.wav")
	const data = 1<<32 + 960
	header := []byte("RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00")
	for _, v := range []uint64{data + 72, data, data / 4} {
		header = endian.LittleEndian.AppendUint64(header, v)
	}
	header = append(header, 0, 0, 0, 0)
	header = append(header, "fmt \x10\x00\x00\x00\x01\x00\x02\x00\x80\xbb\x00\x00\x00\xee\x02\x00\x04\x00\x10\x00data\xff\xff\xff\xff"...)
	require.NoError(t, os.WriteFile(in, header, 0o600))
	require.NoError(t, os.Truncate(in, int64(len(header))+data))
	u.ok("process", in, out, "--gain", "1")
	r, err := wavfile.Open(out)
	require.NoError(t, err)
	defer r.Close()
	require.EqualValues(t, data/4, r.Frames())
}
