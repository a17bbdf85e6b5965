package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/presets"
)

type seenPreset struct {
	Name     string   `json:"name"`
	Note     string   `json:"note"`
	Gain     float64  `json:"gain_db"`
	HighPass string   `json:"high_pass"`
	LowPass  string   `json:"low_pass"`
	Limit    *float64 `json:"limit_dbtp"`
}

func (u user) preset(name string) seenPreset {
	u.t.Helper()
	return objects[seenPreset](u.t, u.ok("preset", "show", name, "--json"))[0]
}

func TestPresets(t *testing.T) {
	u := newUser(t)
	require.Equal(t, "flat\nindoor voice\noutdoor wind\n", u.ok("preset", "list"))
	u.ok("preset", "save", "kitchen interview", "--preset", "indoor voice", "--gain", "-3.5", "--limit", "-1", "--note", "fridge hums")
	limit := -1.0
	want := seenPreset{"kitchen interview", "fridge hums", -3.5, "80/24", "off", &limit}
	require.Equal(t, want, u.preset("kitchen interview"))
	text := u.ok("preset", "show", "kitchen interview")
	require.Contains(t, text, "gain −3.5 dB, high-pass 80 Hz 24 dB per octave, low-pass off, limit −1.0 dBTP")

	require.Contains(t, u.refused("preset", "save", "kitchen interview"), "add --replace")
	u.ok("preset", "save", "kitchen interview", "--replace", "--low-pass", "12000/6")
	require.Equal(t, seenPreset{"kitchen interview", "", 0, "off", "12000/6", nil}, u.preset("kitchen interview"))

	u.ok("preset", "copy", "kitchen interview", "day two")
	u.ok("preset", "rename", "day two", "harbour wall")
	require.Contains(t, u.refused("preset", "rename", "harbour wall", "flat"), "the name is taken")
	u.ok("preset", "delete", "harbour wall")
	require.Contains(t, u.refused("preset", "show", "harbour wall"), "see rollready preset list")
	u.ok("preset", "undelete", "harbour wall")
	require.Equal(t, "12000/6", u.preset("harbour wall").LowPass)
	names := objects[map[string][]string](t, u.ok("preset", "list", "--json"))[0]
	require.Equal(t, []string{"flat", "harbour wall", "indoor voice", "kitchen interview", "outdoor wind"}, names["presets"])
}

func TestPresetsPassedOn(t *testing.T) {
	u, file := newUser(t), filepath.Join(t.TempDir(), "harbour wall.toml")
	u.ok("preset", "export", "outdoor wind", file)
	require.Contains(t, u.refused("preset", "export", "flat", file), "exists: give FILE another name")
	require.Contains(t, u.refused("preset", "export", "flat", filepath.Join(filepath.Dir(file), "none", "flat.toml")), "none: make it first")
	other := newUser(t)
	require.Contains(t, other.refused("camera", "import", file), "is no camera: it is a preset")
	other.ok("preset", "import", file)
	require.Equal(t, "120/24", other.preset("harbour wall").HighPass)
	other.ok("preset", "import", file, "--as", "second")
	require.Contains(t, other.refused("preset", "import", file), "the name is taken")
	require.Contains(t, other.refused("preset", "import", "main.go"), "is no preset")
	require.Contains(t, other.refused("preset", "import", "absent.toml"), "no such file")
}

func TestAPresetThatCantBeReadIsKept(t *testing.T) {
	u := newUser(t)
	u.ok("preset", "list")
	path := filepath.Join(u.config, "presets", "flat.toml")
	require.NoError(t, os.WriteFile(path, []byte("gain = loud"), 0o644))
	require.Contains(t, u.refused("preset", "show", "flat"), "it is kept as "+path+".unreadable-1")
	kept, err := os.ReadFile(path + ".unreadable-1")
	require.NoError(t, err)
	require.Equal(t, "gain = loud", string(kept))

	settings := filepath.Join(u.config, "settings.toml")
	require.NoError(t, os.WriteFile(settings, []byte("version = 7"), 0o644))
	r := u.run("watch", "--input", "demo", "--seconds", "0.3", "--rate", "10")
	require.Zero(t, r.code)
	require.Contains(t, r.err, "has version 7 and this program knows 1")
}

func TestCameras(t *testing.T) {
	u := newUser(t)
	require.Equal(t, "camera\n", u.ok("camera", "list"))
	require.Contains(t, u.ok("camera", "show", "camera"), "ask a qualified technician")
	u.ok("camera", "save", "b camera", "--offset", "−10,5", "--clip", "-0.5 dBFS", "--target", "-14..-8",
		"--mic-level", "menu 3: manual, step 2", "--remind", "auto level off", "--remind", "low-cut off")
	u.ok("camera", "save", "b camera", "--cable", "25 dB pad")
	file := filepath.Join(t.TempDir(), "b.toml")
	u.ok("camera", "export", "b camera", file)
	require.Contains(t, u.refused("preset", "import", file), "is no preset: it is a camera")
	text := u.ok("camera", "show", "b camera")
	for _, want := range []string{"−10.5 dB", "clips at −0.5 dBFS", "−14.0 to −8.0 dBFS", "menu 3", "25 dB pad", "- auto level off", "- low-cut off", "never lined up"} {
		require.Contains(t, text, want)
	}
	seen := objects[map[string]any](t, u.ok("camera", "show", "b camera", "--json"))[0]
	require.Equal(t, -10.5, seen["offset_db"])
	require.Nil(t, seen["lined_up"])
	require.Equal(t, []any{"auto level off", "low-cut off"}, seen["reminders"])

	require.Contains(t, u.refused("camera", "save", "b camera", "--target", "-6"), "write it like -12..-6")
	require.Contains(t, u.refused("camera", "save", "b camera", "--target", "-6..-12"), "the lower first")
	require.Contains(t, u.refused("camera", "save", "b camera", "--offset", "loud"), "--offset")
	u.ok("camera", "rename", "camera", "a camera")
	store, err := presets.Open(u.config)
	require.NoError(t, err)
	settings, err := store.Settings()
	require.NoError(t, err)
	require.Equal(t, "a camera", settings.CameraName, "the settings follow a new name")
	u.ok("camera", "delete", "b camera")
	u.ok("camera", "undelete", "b camera")
	require.Equal(t, 2, strings.Count(u.ok("camera", "list"), "\n"))
}

func TestNamesThatWouldLeaveTheFolderAreRefused(t *testing.T) {
	u := newUser(t)
	for _, name := range []string{"../x", "a/b", `a\b`, "", ".x", "con", "a\nb"} {
		u.refused("preset", "save", name, "--gain", "1")
		u.refused("preset", "delete", name)
		u.refused("camera", "copy", "camera", name)
	}
	entries, err := os.ReadDir(filepath.Dir(u.config))
	require.NoError(t, err)
	require.Len(t, entries, 1)
}
