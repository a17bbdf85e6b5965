package presets

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

func open(t *testing.T) *Store {
	t.Helper()
	s, err := Open(filepath.Join(t.TempDir(), "rollready"))
	require.NoError(t, err)
	return s
}

var kitchen = Preset{Name: "Kitchen Interview №3", Note: "fridge hums, \"door\" open — 50 Hz",
	Strips: strips.Of(chain.Settings{GainDB: -3.25, HighPass: filter.Cut{Hz: 92.5, Slope: 18}, LowPass: filter.Cut{Hz: 12000, Slope: 6},
		Limit: chain.Limit{On: true, CeilingDBTP: -1.5}})}

var harbour = Camera{Name: "harbour wall", Scale: camera.Scale{OffsetDB: -10.5, ClipDBFS: -0.5, TargetLowDBFS: -14, TargetHighDBFS: -8},
	LinedUp: time.Date(2031, 5, 6, 7, 8, 9, 0, time.UTC), LinedUpWith: Output{Name: "headphone jack", Key: "id:alsa:hw:1", Twin: true}, MicLevel: "menu 2, step 1",
	Cable: "25 dB pad", Reminders: []string{"auto level off", "low-cut off"}, SkipCard: true, FrameRate: 23.976}

// Strips are kept whole, but for solo; linked ones stand where a chain always
// did, so that old files and old programs go on.
func TestStripsAreKept(t *testing.T) {
	s, p := open(t), kitchen
	p.Strips.Unlinked, p.Strips.Route, p.Strips.Ears = true, strips.Safety, "left,both"
	p.Strips.Strips[0].Name = "host"
	p.Strips.Strips[1] = strips.Strip{Name: "guest", Chain: chain.Settings{GainDB: 4, HighPass: filter.Cut{Hz: 80}}, Inverted: true, Muted: true}
	require.NoError(t, s.Presets.Save(p))
	got, err := s.Presets.Load(p.Name)
	require.NoError(t, err)
	require.Equal(t, p, got)
	set := DefaultSettings()
	set.Strips, set.Strip = p.Strips, 1
	set.Strips.Solo = 2
	require.NoError(t, s.SaveSettings(set))
	kept, err := s.Settings()
	require.NoError(t, err)
	set.Strips.Solo = 0
	require.Equal(t, set, kept)

	raw, err := encodePreset(kitchen)
	require.NoError(t, err)
	require.NotContains(t, string(raw), "strip")
	old, err := decodePreset([]byte("version = 1\ngain_db = 3.0\nhigh_pass = '80/24'\n"))
	require.NoError(t, err)
	require.Equal(t, strips.Of(chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 80, Slope: 24}}), old.Strips)
	_, err = decodePreset([]byte("version = 1\n[[strip]]\nname = \"\\u001b[2J\"\n"))
	require.Error(t, err)
	_, err = decodePreset([]byte("version = 1\nroute = 'up'\n"))
	require.ErrorContains(t, err, "choose together")
}

func TestFirstStart(t *testing.T) {
	s := open(t)
	names, err := s.Presets.List()
	require.NoError(t, err)
	require.Equal(t, []string{"flat", "indoor voice", "outdoor wind"}, names)
	for _, name := range names {
		p, err := s.Presets.Load(name)
		require.NoError(t, err)
		require.Equal(t, name, p.Name)
	}
	indoor, err := s.Presets.Load("indoor voice")
	require.NoError(t, err)
	require.Equal(t, filter.Cut{Hz: 80, Slope: 24}, indoor.Chain().HighPass)
	c, err := s.Cameras.Load("camera")
	require.NoError(t, err)
	require.Equal(t, camera.Default, c.Scale)
	require.Contains(t, c.Cable, "qualified technician")
	got, err := s.Settings()
	require.NoError(t, err)
	require.Equal(t, DefaultSettings(), got)
	require.FileExists(t, filepath.Join(s.Dir(), "settings.toml"))
}

func TestSettingsOfTheSoundAreKept(t *testing.T) {
	s, want := open(t), DefaultSettings()
	require.True(t, want.EqualLoudness)
	require.False(t, want.FarView)
	want.Headphones, want.CameraOutput, want.EqualLoudness, want.FarView = Output{Name: "jack", Twin: true}, Output{"Kamera №2", "id:pulseaudio:usb.2", true}, false, true
	want.Viewers = ViewersMark
	want.CountdownTone, want.StopSilenceS = true, 20
	want.Alerts = Alerts{AlertInputLost: Bell | Earcon, AlertCameraLost: Notification}
	want.CompareA, want.CompareB, want.CountdownS = "flat", "outdoor wind", 15
	require.NoError(t, s.SaveSettings(want))
	got, err := s.Settings()
	require.NoError(t, err)
	require.Equal(t, want, got)
}

func TestACountdownThatIsNone(t *testing.T) {
	for seconds, ok := range map[int]bool{-1: false, 0: true, 2: false, 3: true, 30: true, 31: false} {
		_, err := decodeSettings(fmt.Appendf(nil, "version = %d\ncountdown_s = %d\n", version, seconds))
		require.Equal(t, ok, err == nil, "%d: %v", seconds, err)
	}
}

func TestAFrameRateThatIsNone(t *testing.T) {
	for _, wrong := range []string{"-25.0", "nan", "inf", "5000.0"} {
		raw, err := encodeCamera(harbour)
		require.NoError(t, err)
		_, err = decodeCamera([]byte(strings.Replace(string(raw), "23.976", wrong, 1)))
		require.ErrorContains(t, err, "frame_rate", wrong)
	}
}

func TestAnEmptiedShelfStaysEmpty(t *testing.T) {
	s := open(t)
	for _, name := range []string{"flat", "indoor voice", "outdoor wind"} {
		require.NoError(t, s.Presets.Delete(name))
	}
	again, err := Open(s.Dir())
	require.NoError(t, err)
	names, err := again.Presets.List()
	require.NoError(t, err)
	require.Empty(t, names)
}

func TestEverythingComesBack(t *testing.T) {
	s := open(t)
	require.NoError(t, s.Presets.Save(kitchen))
	p, err := s.Presets.Load(kitchen.Name)
	require.NoError(t, err)
	require.Equal(t, kitchen, p)
	require.NoError(t, s.Cameras.Save(harbour))
	c, err := s.Cameras.Load(harbour.Name)
	require.NoError(t, err)
	require.Equal(t, harbour, c)
	raw, err := os.ReadFile(filepath.Join(s.Dir(), "presets", kitchen.Name+".toml"))
	require.NoError(t, err)
	for _, line := range []string{"version = 1", "gain_db = -3.25", "high_pass = '92.5/18'", "limit_dbtp = -1.5"} {
		require.Contains(t, string(raw), line)
	}
}

func TestAFilterThatIsOffKeepsItsCutoff(t *testing.T) {
	s, p := open(t), Preset{Name: "off", Strips: strips.Of(chain.Settings{HighPass: filter.Cut{Hz: 100}})}
	require.NoError(t, s.Presets.Save(p))
	got, err := s.Presets.Load("off")
	require.NoError(t, err)
	require.Equal(t, p, got)
}

func TestCopyRenameDeleteUndelete(t *testing.T) {
	s := open(t)
	p := s.Presets
	require.NoError(t, p.Save(kitchen))
	require.NoError(t, p.Copy(kitchen.Name, "second"))
	require.ErrorIs(t, p.Copy(kitchen.Name, "flat"), ErrExists)
	require.ErrorIs(t, p.Copy("absent", "x"), ErrNotFound)
	require.NoError(t, p.Rename("second", "third"))
	require.ErrorIs(t, p.Rename("third", "flat"), ErrExists)
	require.ErrorIs(t, p.Rename("second", "x"), ErrNotFound)

	require.NoError(t, p.Delete("third"))
	require.ErrorIs(t, p.Delete("third"), ErrNotFound)
	_, err := p.Load("third")
	require.ErrorIs(t, err, ErrNotFound)
	deleted, err := p.Deleted()
	require.NoError(t, err)
	require.Equal(t, []string{"third"}, deleted)
	require.NoError(t, p.Undelete("third"))
	got, err := p.Load("third")
	require.NoError(t, err)
	require.Equal(t, kitchen.Chain(), got.Chain())
	require.ErrorIs(t, p.Undelete("third"), ErrNotFound)

	require.NoError(t, p.Delete("third"))
	require.NoError(t, p.Copy("flat", "third"))
	require.ErrorIs(t, p.Undelete("third"), ErrExists)
}

func TestExportAndImport(t *testing.T) {
	s, file := open(t), filepath.Join(t.TempDir(), "mine.toml")
	require.NoError(t, s.Presets.Save(kitchen))
	require.NoError(t, s.Presets.Export(kitchen.Name, file))
	require.ErrorIs(t, s.Presets.Export("flat", file), ErrExists)
	require.NoError(t, s.Presets.Import(file, "mine"))
	require.ErrorIs(t, s.Presets.Import(file, "mine"), ErrExists)
	got, err := s.Presets.Load("mine")
	require.NoError(t, err)
	require.Equal(t, kitchen.Chain(), got.Chain())

	require.NoError(t, os.WriteFile(file, []byte("version = 1\ngain_db = 99"), 0o644))
	err = s.Presets.Import(file, "bad")
	require.ErrorContains(t, err, "gain 99 dB")
	require.FileExists(t, file, "the user's file stays where it is")
}

func TestRefusesWhatWouldNotComeBack(t *testing.T) {
	s := open(t)
	bad := kitchen
	bad.Strips = strips.Of(chain.Settings{GainDB: math.NaN()})
	require.Error(t, s.Presets.Save(bad))
	bad = kitchen
	bad.Note = "\x1b[2J"
	require.ErrorContains(t, s.Presets.Save(bad), "can't be shown")
	cam := harbour
	cam.Scale.TargetLowDBFS = 0
	require.ErrorContains(t, s.Cameras.Save(cam), "the first must be the lower")
	cam = harbour
	cam.Reminders = make([]string, maxLines+1)
	require.ErrorContains(t, s.Cameras.Save(cam), "keep 20 at most")
	_, err := s.Presets.Load(kitchen.Name)
	require.ErrorIs(t, err, ErrNotFound)
}

func TestNames(t *testing.T) {
	for _, good := range []string{"a", "Küche 2", "harbour-wall", "台所", "v1.2", "console"} {
		require.NoError(t, CheckName(good))
	}
	s := open(t)
	for _, bad := range []string{"", ".", "..", "../x", "a/b", `a\b`, "/etc/x", ".hidden", "a\x00", "a\nb", "a\u202eb", "\xff", "CON",
		"nul.toml", "com1", "LPT9.x", "COM²", "ConIn$", "a:b", "a?", "a ", " a", "a.", strings.Repeat("x", 61)} {
		require.Error(t, CheckName(bad), "%q", bad)
		require.NotContains(t, CheckName(bad).Error(), "\n")
		p := kitchen
		p.Name = bad
		require.Error(t, s.Presets.Save(p), "%q", bad)
		_, err := s.Presets.Load(bad)
		require.Error(t, err)
		require.Error(t, s.Presets.Copy("flat", bad))
		require.Error(t, s.Presets.Rename("flat", bad))
		require.Error(t, s.Presets.Delete(bad))
	}
	long := kitchen
	long.Name = strings.Repeat("台", 60)
	require.NoError(t, s.Presets.Save(long), "the longest name fits the file system")
}

func TestSeveralWritersAtOnceLeaveWholeFiles(t *testing.T) {
	s := open(t)
	other, err := Open(s.Dir())
	require.NoError(t, err)
	var group sync.WaitGroup
	for n, store := range []*Store{s, other, s, other} {
		group.Go(func() {
			for i := range 25 {
				p := kitchen
				p.Strips = strips.Of(chain.Settings{GainDB: float64(n*100+i)/10 - 20})
				if err := store.Presets.Save(p); err != nil {
					t.Error(err)
				}
				if _, err := store.Presets.Load(kitchen.Name); err != nil {
					t.Error(err)
				}
			}
		})
	}
	group.Wait()
	entries, err := os.ReadDir(filepath.Join(s.Dir(), "presets"))
	require.NoError(t, err)
	require.Len(t, entries, 4, "three starters, ours, and nothing left over")
}
