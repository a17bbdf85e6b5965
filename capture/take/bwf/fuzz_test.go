package bwf

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/riff"
)

// Whatever a file holds, reading it fails or succeeds without harm, and one
// that was mended needs no more mending and has lost no whole frame.
func FuzzMend(f *testing.F) {
	for _, pattern := range []string{"../../../testdata/reference/*.wav"} {
		found, err := filepath.Glob(pattern)
		require.NoError(f, err)
		require.NotEmpty(f, found)
		for _, path := range found {
			raw, err := os.ReadFile(path)
			require.NoError(f, err)
			f.Add(raw, true)
			f.Add(raw[:len(raw)-700], false)
		}
	}
	f.Fuzz(func(t *testing.T, raw []byte, unfinished bool) {
		m := memory(bytes.Clone(raw))
		before, err := ReadFrom(&m, int64(len(m)))
		if err != nil {
			return
		}
		marks := []Marker{{5, "five"}}
		got, err := before.mend(&m, unfinished, marks)
		if errors.Is(err, riff.ErrNoRoom) {
			return
		}
		require.NoError(t, err)
		require.GreaterOrEqual(t, got.Frames, before.Frames)
		mended := bytes.Clone(m)
		after, err := ReadFrom(&m, int64(len(m)))
		require.NoError(t, err)
		require.Equal(t, got.Frames, after.Frames)
		again, err := after.mend(&m, false, marks) // its sheet says by now that it was mended
		require.NoError(t, err)
		require.Empty(t, again.What)
		require.Equal(t, mended, []byte(m))
		require.LessOrEqual(t, after.layout.Data.At+after.layout.Data.Declared, int64(len(m)))
	})
}
