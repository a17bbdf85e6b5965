package wavfile

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Any bytes are either refused or read to their end.
func FuzzReader(f *testing.F) {
	seeds, err := filepath.Glob("testdata/lib_*.wav")
	require.NoError(f, err)
	require.NotEmpty(f, seeds)
	for _, path := range seeds {
		raw, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		r, err := NewReader(bytes.NewReader(raw), int64(len(raw)))
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		samples := readAll(t, r, 5)
		require.EqualValues(t, r.Frames(), len(samples)/r.Format().Channels)
		require.LessOrEqual(t, len(samples), len(raw))
		for _, s := range r.layout.Chunks {
			require.LessOrEqual(t, len(r.layout.Bytes(s)), len(raw))
		}
	})
}
