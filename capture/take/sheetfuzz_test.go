package take

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"
)

// Whatever a sheet holds, it is refused in one line or comes back as it was
// read.
func FuzzSheet(f *testing.F) {
	raw, err := toml.Marshal(Take{Version: sheetVersion, Scene: "9", Number: 2, Tracks: []string{"processed 1", "input 1"},
		Markers: []Marker{{Frame: 3, Text: "clap"}}, Levels: noLevels()})
	require.NoError(f, err)
	f.Add(raw)
	f.Add([]byte("version = 1\nlevels = {clips = -1}\n"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		wav := filepath.Join(t.TempDir(), "9_002.wav")
		require.NoError(t, os.WriteFile(sheetPath(wav), raw, 0o600))
		first, err := loadSheet(wav)
		if err != nil {
			return
		}
		_, _ = first.Verdict()
		_ = first.Title()
		require.NoError(t, Save(first))
		again, err := loadSheet(wav)
		require.NoError(t, err)
		require.Equal(t, first.Scene, again.Scene)
		require.ElementsMatch(t, first.Tracks, again.Tracks)
		require.Equal(t, first.Frames, again.Frames)
	})
}
