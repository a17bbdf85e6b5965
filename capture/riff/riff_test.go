package riff

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// buffer is a file in memory of a fixed size.
type buffer []byte

func (b buffer) WriteAt(p []byte, at int64) (int, error) { return copy(b[at:], p), nil }

func walk(t testing.TB, raw []byte) Layout {
	t.Helper()
	l, err := Walk(bytes.NewReader(raw), int64(len(raw)))
	require.NoError(t, err)
	return l
}

// What Begin and Append wrote is found again, and patched sizes are read back.
func TestWrittenChunksAreFound(t *testing.T) {
	head := Begin(Chunk{"bext", []byte("four")}, Chunk{"fact", make([]byte, 4)})
	p, _ := PlacesOf(head, 4)
	file := append(bytes.Clone(head), "soundsoundso"...)
	file = Append(file, Chunk{"note", []byte("odd")})
	file = Append(file, Chunk{"LIST", []byte("INFOwho")})
	require.NoError(t, p.Patch(buffer(file), 12, int64(len(file))))
	l := walk(t, file)
	require.Equal(t, "RIFF", l.Form)
	require.EqualValues(t, len(file), l.End)
	require.Equal(t, "soundsoundso", string(l.Bytes(l.Data)))
	require.False(t, l.Data.Torn())
	require.Equal(t, "four", string(l.Payload("bext")))
	require.Equal(t, []byte{3, 0, 0, 0}, l.Payload("fact"))
	require.Equal(t, "odd", string(l.Payload("note")))
	require.Equal(t, "who", string(l.Payload("INFO")))
	require.Nil(t, l.Payload("none"))
}

// Sizes past 4 GiB: EBU Tech 3306, ds64 of riffSize, dataSize, sampleCount.
func TestLongSizesGoToDs64(t *testing.T) {
	file := Begin()
	p, _ := PlacesOf(file, 6)
	require.NoError(t, p.Patch(buffer(file), 6<<30, 6<<30+80))
	require.Equal(t, "RF64\xff\xff\xff\xffWAVEds64", string(file[:16]))
	l := walk(t, file)
	require.EqualValues(t, 6<<30, l.Promised())
	require.EqualValues(t, 6<<30, l.Data.Declared)
	require.True(t, l.Data.Torn())
	require.EqualValues(t, 6<<30+80, l.End)
	require.NoError(t, p.Patch(buffer(file), 60, 140)) // it stays RF64
	require.EqualValues(t, 60, walk(t, file).Data.Declared)
}

func TestFileWithoutRoomSaysSo(t *testing.T) {
	p := Places{form: "RIFF", DataAt: 44, FrameBytes: 2}
	require.ErrorIs(t, p.Patch(nil, 1<<32, 1<<32+44), ErrNoRoom)
}

// Any bytes are walked to an end, within the file and within bounds.
func FuzzWalk(f *testing.F) {
	for _, pattern := range []string{"../wavfile/testdata/*.wav", "../../testdata/reference/*.wav"} {
		seeds, err := filepath.Glob(pattern)
		require.NoError(f, err)
		require.NotEmpty(f, seeds)
		for _, path := range seeds {
			raw, err := os.ReadFile(path)
			require.NoError(f, err)
			f.Add(raw[:min(len(raw), 2000)])
		}
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		l, err := Walk(bytes.NewReader(raw), int64(len(raw)))
		require.LessOrEqual(t, len(l.Chunks), maxChunks)
		for _, s := range l.Chunks {
			require.LessOrEqual(t, s.At+s.Size, int64(len(raw)))
			require.GreaterOrEqual(t, s.Size, int64(0))
			require.LessOrEqual(t, len(l.Bytes(s)), len(raw))
		}
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		p, end := l.Places(1), l.Data.At+l.Data.Size
		require.NoError(t, p.Patch(buffer(raw), l.Data.Size, end))
		again := walk(t, raw)
		require.EqualValues(t, l.Data.Size, again.Data.Declared)
		require.EqualValues(t, end, again.End)
	})
}
