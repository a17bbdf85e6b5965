package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
)

// hostile is a folder with a recording whose name and iXML hold what a
// terminal obeys and what a spreadsheet calculates.
func hostile(t *testing.T) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "takes")
	require.NoError(t, os.Mkdir(dir, 0o755))
	meta := bwf.Meta{Scene: "=cmd\u202e", Take: "1", Note: "=1+1\nsecond\u2066 line", Started: time.Date(2026, 3, 4, 12, 0, 0, 0, time.Local), Tracks: []string{"=a\u202e"}}
	w, err := bwf.Create(filepath.Join(dir, "=evil\x1b[31m\n\u202egnp.wav"), capture.Format{RateHz: 48000, Channels: 1}, wavfile.PCM24, meta, nil)
	require.NoError(t, err)
	require.NoError(t, w.Write(make([]float32, 48000)))
	require.NoError(t, w.Close(meta, nil))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "torn\x1b[2J.wav"), []byte("RIFF"), 0o644))
	return dir
}

func TestTextOfOthersIsOnlyShown(t *testing.T) {
	u, dir := newUser(t), hostile(t)
	page := filepath.Join(t.TempDir(), "page.html")
	for name, args := range map[string][]string{
		"report":             {"report", dir, "--html", page},
		"report csv":         {"report", dir, "--csv"},
		"take list":          {"take", "list", "--takes", dir},
		"take recover":       {"take", "recover", dir},
		"sound report":       {"take", "report", "--takes", dir, "--html", "-"},
		"sound report table": {"take", "report", "--takes", dir, "--csv"},
	} {
		r := u.run(args...)
		for _, text := range []string{r.out, r.err} {
			require.False(t, strings.ContainsFunc(text, func(x rune) bool {
				return x != '\n' && unicode.IsControl(x) || unicode.Is(unicode.Bidi_Control, x)
			}), "%s: %q", name, text)
			require.NotContains(t, text, "\n\ngnp", name)
			if strings.Contains(name, "csv") || strings.Contains(name, "table") {
				require.NotRegexp(t, `(?m)(^|,)"?=`, text, name)
			}
		}
		require.Contains(t, r.out, "evil␛[31m", name)
	}
	raw, err := os.ReadFile(page)
	require.NoError(t, err)
	require.NotContains(t, string(raw), "\x1b")
	require.NotContains(t, string(raw), "\u202e")
}
