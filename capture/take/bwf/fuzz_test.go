package bwf

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
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
		before, err := ReadFrom(bytes.NewReader(raw), int64(len(raw)))
		if err != nil {
			return
		}
		path := filepath.Join(t.TempDir(), "a.wav")
		require.NoError(t, os.WriteFile(path, raw, 0o644))
		got, err := Mend(path, unfinished, []Marker{{5, "five"}})
		require.NoError(t, err)
		require.GreaterOrEqual(t, got.Frames, before.Frames)
		after, err := Read(path)
		require.NoError(t, err)
		require.Equal(t, got.Frames, after.Frames)
		again, err := Mend(path, unfinished, []Marker{{5, "five"}})
		require.NoError(t, err)
		require.Equal(t, got.Frames, again.Frames)
		if got.What != "" {
			require.Empty(t, again.What)
		}
	})
}
