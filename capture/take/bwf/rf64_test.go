package bwf

import (
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/internal/foreign"
	"rollready/capture/wavfile"
)

// sparse puts the writer shortly before a place in the file without writing
// what lies before: the file system keeps a hole there.
func sparse(w *Writer, frames int64) { w.frames = frames }

// A file that passes 4 GiB while rolling: the samples on both sides of the
// border are there, without a gap, and the header is right at each MakeGood.
func TestPassesFourGiB(t *testing.T) {
	for _, e := range []wavfile.Encoding{wavfile.PCM24, wavfile.Float32} {
		path := filepath.Join(t.TempDir(), "long.wav")
		f := capture.Format{RateHz: 48000, Channels: 2}
		w, err := Create(path, f, e, meta, nil)
		require.NoError(t, err)
		border := int64(1<<32) / w.places.FrameBytes
		first := border - 3000
		sparse(w, first)
		samples := noise(2 * 6000)
		for at := 0; at < len(samples); at += 1000 {
			require.NoError(t, w.Write(samples[at:at+1000]))
			require.NoError(t, w.MakeGood())
			p := parse(t, path)
			require.Equal(t, uint64(w.Frames()*w.places.FrameBytes), p.dataSize)
			require.Equal(t, map[bool]string{true: "RIFF", false: "RF64"}[p.length-8 < 0xFFFFFFFF], p.form)
		}
		require.NoError(t, w.Close(meta, append(markers, Marker{border + 5, "late"})))
		p := parse(t, path)
		require.Equal(t, "RF64", p.form)
		require.Equal(t, uint32(0xFFFFFFFF), p.riffField)
		require.Equal(t, uint32(0xFFFFFFFF), p.dataField)
		require.Equal(t, "ds64", p.order[0])
		require.Equal(t, uint64(first+6000), p.frames64)
		require.Len(t, p.cues(t), 4)
		o := foreign.Open(t, path)[0]
		require.Empty(t, o.Error)
		require.Equal(t, first+6000, o.Frames)
		require.Equal(t, "RF64", o.Format)
		require.Equal(t, samples, foreign.Samples(t, path, fmt.Sprint(first), "-1"))
		tear64(t, path, p)
	}
}

// tear64 gives the long file states a crash can leave and mends them.
func tear64(t *testing.T, path string, p parsed) {
	torn := []struct {
		name string
		tear func(f *os.File)
	}{
		{"half promoted", func(f *os.File) {
			_, _ = f.WriteAt(binary.LittleEndian.AppendUint32(nil, 0xFFFFFF00), p.dataAt-4)
		}},
		{"header of before", func(f *os.File) {
			old := append([]byte("RIFF\x00\x00\x00\xf0WAVEJUNK\x1c\x00\x00\x00"), make([]byte, 28)...)
			_, _ = f.WriteAt(old, 0)
			_, _ = f.WriteAt(binary.LittleEndian.AppendUint32(nil, 0xF0000000), p.dataAt-4)
			_ = f.Truncate(p.dataAt + int64(p.dataSize))
		}},
		{"cut in the samples", func(f *os.File) { _ = f.Truncate(p.dataAt + int64(p.dataSize) - 1001) }},
		{"cut below 4 GiB", func(f *os.File) { _ = f.Truncate(1<<32 - 5000) }},
	}
	for _, c := range torn {
		f, err := os.OpenFile(path, os.O_RDWR, 0)
		require.NoError(t, err)
		c.tear(f)
		require.NoError(t, f.Close())
		_, err = Mend(path, true, markers)
		require.NoError(t, err, c.name)
		stat, _ := os.Stat(path)
		o := foreign.Open(t, path)[0]
		require.Empty(t, o.Error, c.name)
		frameBytes := int64(binary.LittleEndian.Uint16(p.fmt[12:]))
		require.Greater(t, o.Frames, (stat.Size()-p.dataAt-200)/frameBytes, c.name)
		parse(t, path)
	}
}
