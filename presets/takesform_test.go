package presets

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// Settings from before takes were recorded are read, with the defaults for them.
func TestSettingsWithoutTakes(t *testing.T) {
	s := open(t)
	want := DefaultSettings()
	want.Theme = "day"
	raw, err := encodeSettings(want)
	require.NoError(t, err)
	old := regexp.MustCompile(`(?s)\[takes\].*?(\n\[|$)`).ReplaceAllString(string(raw), "$1")
	require.NotContains(t, old, "encoding")
	require.NoError(t, os.WriteFile(s.settingsPath(), []byte(old), 0o644))
	got, err := s.Settings()
	require.NoError(t, err)
	require.Equal(t, want, got)
}

func TestRecordingIsChecked(t *testing.T) {
	for what, change := range map[string]func(*Recording){
		"encoding":     func(r *Recording) { r.Encoding = "8" },
		"pre_record_s": func(r *Recording) { r.PreRecordS = 61 },
		"scene":        func(r *Recording) { r.Scene = " " },
		"text":         func(r *Recording) { r.Dir = "a\x1bb" },
	} {
		s := DefaultSettings()
		change(&s.Recording)
		require.ErrorContains(t, open(t).SaveSettings(s), what)
	}
}

func TestTheTakesFolder(t *testing.T) {
	require.True(t, filepath.IsAbs(Recording{}.Folder()))
	require.Equal(t, "Takes", filepath.Base(Recording{}.Folder()))
	require.Equal(t, "harbour", Recording{Dir: "harbour"}.Folder())
}
