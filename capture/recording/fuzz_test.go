package recording

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// readOn opens and reads whatever a file holds: an error or frames, no harm.
func readOn(t *testing.T, raw []byte) {
	path := filepath.Join(t.TempDir(), "x")
	require.NoError(t, os.WriteFile(path, raw, 0o600))
	r, err := Open(context.Background(), path)
	if err != nil {
		require.NotContains(t, err.Error(), "\n")
		return
	}
	block := make([]float32, 4096)
	for range 1000 {
		if _, err := r.Read(block); err != nil {
			break
		}
	}
	_ = r.SeekTo(1)
	_, _ = r.Tags(), r.Tracks()
	require.NoError(t, r.Close())
}

// seeds adds the files of testdata that match.
func seeds(f *testing.F, pattern string) {
	found, err := filepath.Glob("testdata/" + pattern)
	require.NoError(f, err)
	require.NotEmpty(f, found)
	for _, path := range found {
		raw, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(raw)
	}
}

func FuzzFLAC(f *testing.F) {
	seeds(f, "*.flac")
	f.Fuzz(func(t *testing.T, raw []byte) {
		raw = slices.Clone(raw)
		copy(raw, "fLaC")
		readOn(t, raw)
	})
}

// What goes to ffmpeg: a file that is neither WAV nor FLAC, and WAV of an
// encoding that is not read here.
func FuzzForeign(f *testing.F) {
	seeds(f, "adpcm.wav")
	seeds(f, "clip.m4a")
	f.Fuzz(readOn)
}
