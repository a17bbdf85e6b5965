package whole

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func content(t *testing.T, path string) string {
	t.Helper()
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(raw)
}

func TestWriteReplacesAndCreateDoesNot(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.toml")
	require.NoError(t, Create(path, []byte("first"), 0o600))
	require.ErrorIs(t, Create(path, []byte("second"), 0o600), fs.ErrExist)
	require.Equal(t, "first", content(t, path))
	require.NoError(t, Write(path, []byte("third"), 0o644))
	require.Equal(t, "third", content(t, path))
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing half-written is left")
}

func TestMoveNeverTakesANameAway(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	require.NoError(t, Write(a, []byte("a"), 0o600))
	require.NoError(t, Write(b, []byte("b"), 0o600))
	require.ErrorIs(t, Move(a, b), fs.ErrExist)
	require.Equal(t, "a", content(t, a))
	require.Equal(t, "b", content(t, b))
	require.ErrorIs(t, Move(filepath.Join(dir, "none"), b), fs.ErrNotExist, "what is missing is told first")
	require.NoError(t, os.Remove(b))
	require.NoError(t, Move(a, b))
	require.NoFileExists(t, a)
	require.Equal(t, "a", content(t, b))
}

func TestFolderMakesWhatIsMissingAbove(t *testing.T) {
	dir := t.TempDir()
	deep := filepath.Join(dir, "a", "b", "c")
	require.NoError(t, Folder(deep))
	require.NoError(t, Folder(deep))
	require.DirExists(t, deep)
	file := filepath.Join(dir, "file")
	require.NoError(t, Write(file, nil, 0o600))
	require.Error(t, Folder(file))
	require.Error(t, Folder(filepath.Join(file, "below")))
}

func TestReplaceTakesANameOver(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	require.NoError(t, Write(a, []byte("a"), 0o600))
	require.NoError(t, Write(b, []byte("b"), 0o600))
	require.NoError(t, Replace(a, b))
	require.NoFileExists(t, a)
	require.Equal(t, "a", content(t, b))
}
