package tui

import (
	"os"
	"path/filepath"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"rollready/tui/canvas"
)

// Whatever a screen draws with has a likeness in ASCII; letters of other
// scripts, as names may have them, do not.
func TestEveryGlyphHasALikenessInASCII(t *testing.T) {
	pictures, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, pictures)
	for _, file := range pictures {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, r := range string(raw) {
			if r == '?' || unicode.IsLetter(r) {
				continue
			}
			require.NotEqual(t, '?', canvas.ASCII(r), "%q in %s", r, file)
		}
	}
}
