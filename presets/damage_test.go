package presets

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
)

func TestAnUnreadableFileIsSetAsideAndNeverLost(t *testing.T) {
	s := open(t)
	path := filepath.Join(s.Dir(), "presets", "flat.toml")
	for n, content := range []string{"", "version = 1\ngain_db = ", "gain_db = 1", "version = 1\nhigh_pass = '80/23'",
		"version = 1\nnote = \"\\u001b\"", "\x00\xff", "version = 0", "version = 'one'", strings.Repeat("#", maxFile+1)} {
		require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
		_, err := s.Presets.Load("flat")
		var aside *SetAsideError
		require.ErrorAs(t, err, &aside, "%.40q", content)
		require.NotContains(t, err.Error(), "\n")
		kept, err := os.ReadFile(aside.MovedTo)
		require.NoError(t, err)
		require.Equal(t, content, string(kept))
		require.NoFileExists(t, path)
		require.True(t, strings.HasPrefix(aside.MovedTo, path+".unreadable-"), "%d", n)
	}
	// Saving over an unreadable file keeps it too.
	require.NoError(t, os.WriteFile(path, []byte("mine"), 0o644))
	p := kitchen
	p.Name = "flat"
	require.NoError(t, s.Presets.Save(p))
	kept, err := os.ReadFile(path + ".unreadable-10")
	require.NoError(t, err)
	require.Equal(t, "mine", string(kept))
}

// Editors on Windows end lines in CR LF, some behind a byte order mark.
func TestAFileEditedOnWindowsIsRead(t *testing.T) {
	s := open(t)
	path := filepath.Join(s.Dir(), "presets", "flat.toml")
	require.NoError(t, os.WriteFile(path, []byte("\ufeffversion = 1\r\ngain_db = 5.0\r\n"), 0o644))
	got, err := s.Presets.Load("flat")
	require.NoError(t, err)
	require.InDelta(t, 5, got.Chain().GainDB, 0)
}

func TestANewerFileIsLeftAsItIs(t *testing.T) {
	s := open(t)
	content := "version = 2\nsurprise = [1, 2]\n"
	path := filepath.Join(s.Dir(), "presets", "flat.toml")
	require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
	require.NoError(t, os.WriteFile(s.settingsPath(), []byte(content), 0o644))

	_, err := s.Presets.Load("flat")
	var newer *NewerError
	require.ErrorAs(t, err, &newer)
	require.ErrorContains(t, err, "flat.toml has version 2")
	p := kitchen
	p.Name = "flat"
	require.ErrorAs(t, s.Presets.Save(p), &newer)

	got, err := s.Settings()
	require.ErrorAs(t, err, &newer)
	require.Equal(t, DefaultSettings(), got)
	k := s.Keep(got, plainly)
	got.Theme = "day"
	k.Set(got)
	require.ErrorAs(t, k.Close(), &newer)
	for _, file := range []string{path, s.settingsPath()} {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Equal(t, content, string(raw))
	}
}

// Cut after every byte, a settings file is read whole, or set aside; the
// program always gets settings it can use.
func TestSettingsCutAtEveryByte(t *testing.T) {
	want := DefaultSettings()
	want.Input, want.Theme, want.View.HoldSeconds, want.View.BandChannel = "lavalier", "mono", math.Inf(1), 1
	want.View.Ballistics = dsp.PPMTypeII
	want.Recording = Recording{Dir: "/home/one/Music/harbour", Scene: "12A", Encoding: "float", NoInput: true, Safety: true, PreRecordS: 7.5,
		Names: "{date} {scene}-{take}", SilenceS: 45, DiskMin: 0}
	whole, err := encodeSettings(want)
	require.NoError(t, err)
	dir := t.TempDir()
	s, err := Open(dir)
	require.NoError(t, err)
	for cut := range whole {
		require.NoError(t, os.WriteFile(s.settingsPath(), whole[:cut], 0o644))
		got, err := s.Settings()
		_, valid := encodeSettings(got)
		require.NoError(t, valid)
		var aside *SetAsideError
		if errors.As(err, &aside) {
			require.Equal(t, DefaultSettings(), got)
			require.NoError(t, os.Remove(aside.MovedTo))
			continue
		}
		require.NoError(t, err) // a cut between two lines leaves the rest at its default
	}
	require.NoError(t, s.SaveSettings(want))
	got, err := s.Settings()
	require.NoError(t, err)
	require.Equal(t, want, got)
}

func TestAFolderThatCantBeWritten(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	s, err := Open(filepath.Join(file, "below"))
	require.Error(t, err)
	got, _ := s.Settings()
	require.Equal(t, DefaultSettings(), got)
	k := s.Keep(got, plainly)
	got.Theme = "day"
	k.Set(got)
	require.Error(t, k.Close())
}

func TestSweepsWhatACrashLeft(t *testing.T) {
	s := open(t)
	old, young := filepath.Join(s.Dir(), ".settings.toml.1.tmp"), filepath.Join(s.Dir(), ".settings.toml.2.tmp")
	for _, path := range []string{old, young} {
		require.NoError(t, os.WriteFile(path, nil, 0o644))
	}
	long := time.Now().Add(-2 * time.Hour)
	require.NoError(t, os.Chtimes(old, long, long))
	_, err := Open(s.Dir())
	require.NoError(t, err)
	require.NoFileExists(t, old)
	require.FileExists(t, young)
}

// Any bytes are refused in one line, or understood and written again.
func FuzzFiles(f *testing.F) {
	for _, name := range []string{"preset", "camera", "settings"} {
		f.Add(seed(f, name))
	}
	f.Add([]byte("version = 9"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if p, err := decodePreset(raw); err == nil {
			again(t, p, encodePreset, decodePreset)
		}
		if c, err := decodeCamera(raw); err == nil {
			again(t, c, encodeCamera, decodeCamera)
		}
		if s, err := decodeSettings(raw); err == nil {
			again(t, s, encodeSettings, decodeSettings)
		}
	})
}

func seed(f *testing.F, name string) (raw []byte) {
	var err error
	switch name {
	case "preset":
		raw, err = encodePreset(kitchen)
	case "camera":
		raw, err = encodeCamera(harbour)
	default:
		raw, err = encodeSettings(DefaultSettings())
	}
	require.NoError(f, err)
	return raw
}

func again[T any](t *testing.T, thing T, encode func(T) ([]byte, error), decode func([]byte) (T, error)) {
	raw, err := encode(thing)
	require.NoError(t, err)
	back, err := decode(raw)
	require.NoError(t, err)
	twice, err := encode(back)
	require.NoError(t, err)
	require.Equal(t, string(raw), string(twice))
}
