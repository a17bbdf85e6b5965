package presets

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"

	"rollready/dsp"
	"rollready/presets/whole"
)

// Store is the folder in which everything is kept.
type Store struct {
	Presets *Shelf[Preset]
	Cameras *Shelf[Camera]
	dir     string
}

// DefaultDir is the system's place for settings.
func DefaultDir() string { return filepath.Join(xdg.ConfigHome, "rollready") }

// Open opens a folder, makes it at the first start with starter presets and a
// camera profile, and clears away what a crash left half-written. The Store
// is never nil: with an error what is there can be read, but nothing kept.
func Open(dir string) (*Store, error) {
	s := &Store{dir: dir,
		Presets: &Shelf[Preset]{dir: filepath.Join(dir, "presets"), what: "preset", other: kind{"camera", "offset_db"},
			encode: encodePreset, decode: decodePreset, name: func(p *Preset) *string { return &p.Name }},
		Cameras: &Shelf[Camera]{dir: filepath.Join(dir, "cameras"), what: "camera", other: kind{"preset", "gain_db"},
			encode: encodeCamera, decode: decodeCamera, name: func(c *Camera) *string { return &c.Name }},
	}
	err := furnish(s.Presets, starterPresets())
	if err == nil {
		err = furnish(s.Cameras, starterCameras())
	}
	if err == nil {
		err = s.firstSettings()
	}
	for _, d := range []string{dir, s.Presets.dir, s.Cameras.dir} {
		whole.Sweep(d)
	}
	return s, err
}

// furnish fills a shelf that is not there yet. One that was emptied stays so.
// It appears filled: another program that starts at the same time must not
// find it half empty.
func furnish[T any](s *Shelf[T], things []T) error {
	if _, err := os.Stat(s.dir); err == nil {
		return nil
	}
	above := filepath.Dir(s.dir)
	if err := whole.Folder(above); err != nil {
		return err
	}
	made, err := whole.TempFolder(s.dir)
	if err != nil {
		return err
	}
	defer os.RemoveAll(made)
	filling := *s
	filling.dir = made
	for _, thing := range things {
		if err := filling.Save(thing); err != nil {
			return err
		}
	}
	if err := whole.Replace(made, s.dir); err != nil && !errors.Is(err, fs.ErrExist) { // the other was first
		return err
	}
	return nil
}

func (s *Store) firstSettings() error {
	raw, err := encodeSettings(DefaultSettings())
	if err != nil {
		return err
	}
	if _, err := os.Stat(s.settingsPath()); err == nil {
		return nil
	}
	if err := whole.Create(s.settingsPath(), raw, private); !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}

func (s *Store) settingsPath() string { return filepath.Join(s.dir, "settings"+ext) }

// Dir is the folder.
func (s *Store) Dir() string { return s.dir }

// Settings reads the settings. They are always usable: with an error (a
// *SetAsideError, a *NewerError or the disk's) they are the defaults.
func (s *Store) Settings() (Settings, error) {
	got, err := load(s.settingsPath(), decodeSettings)
	if errors.Is(err, fs.ErrNotExist) {
		return DefaultSettings(), nil
	}
	if err != nil {
		return DefaultSettings(), err
	}
	return got, nil
}

// SaveSettings writes the settings. A newer file is left as it is, and the
// error says so.
func (s *Store) SaveSettings(settings Settings) error {
	return store(s.settingsPath(), settings, encodeSettings, decodeSettings, false)
}

// DefaultSettings is what a first start has.
func DefaultSettings() Settings {
	return Settings{Preset: "flat", CameraName: "camera", View: dsp.DefaultView(), Theme: themes[0],
		EqualLoudness: true, Recording: Recording{Scene: "1", Encoding: Encodings[1], PreRecordS: 5, SilenceS: 10, DiskMin: 10}, Alerts: defaultAlerts(), Viewers: ViewersLook}
}
