package presets

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"
)

// Encodings lists the words for Recording.Encoding.
var Encodings = [...]string{"16", "24", "float"}

// MaxPreRecordS bounds the pre-record: it is kept in memory.
const MaxPreRecordS = 60

// Bounds of the alarms.
const (
	MaxSilenceS = 3600
	MaxDiskMin  = 24 * 60
)

// DefaultTakes is the folder for takes where none was chosen: in the user's
// music folder, where there is none in that for videos, else at home.
func DefaultTakes() string {
	for _, dir := range []string{xdg.UserDirs.Music, xdg.UserDirs.Videos} {
		if info, err := os.Stat(dir); err == nil && info.IsDir() {
			return filepath.Join(dir, "Takes")
		}
	}
	return filepath.Join(xdg.Home, "Takes")
}

// Folder is where the takes lie.
func (r Recording) Folder() string {
	if r.Dir == "" {
		return DefaultTakes()
	}
	return r.Dir
}

// takesForm is Recording on disk.
type takesForm struct {
	Folder      string  `toml:"folder"`
	Scene       string  `toml:"scene"`
	Encoding    string  `toml:"encoding"`
	InputTracks bool    `toml:"input_tracks"`
	SafetyTrack bool    `toml:"safety_track"`
	PreRecordS  float64 `toml:"pre_record_s"`
	Names       string  `toml:"names" comment:"of {scene}, {take}, {date} and {time}"`
	SilenceS    float64 `toml:"silence_alarm_s" comment:"0: never"`
	DiskMin     float64 `toml:"disk_alarm_min" comment:"0: never"`
}

func formOfTakes(r Recording) takesForm {
	return takesForm{r.Dir, r.Scene, r.Encoding, !r.NoInput, r.Safety, r.PreRecordS, r.Names, r.SilenceS, r.DiskMin}
}

func (f takesForm) recording() Recording {
	return Recording{Dir: f.Folder, Scene: f.Scene, Encoding: f.Encoding, NoInput: !f.InputTracks, Safety: f.SafetyTrack,
		PreRecordS: f.PreRecordS, Names: f.Names, SilenceS: f.SilenceS, DiskMin: f.DiskMin}
}

func (r Recording) check() error {
	var err error
	if !(r.PreRecordS >= 0 && r.PreRecordS <= MaxPreRecordS) {
		err = fmt.Errorf("pre_record_s %g: choose 0 to %d s", r.PreRecordS, MaxPreRecordS)
	}
	if !(r.SilenceS >= 0 && r.SilenceS <= MaxSilenceS) {
		err = errors.Join(err, fmt.Errorf("silence_alarm_s %g: choose 0 to %d s", r.SilenceS, MaxSilenceS))
	}
	if !(r.DiskMin >= 0 && r.DiskMin <= MaxDiskMin) {
		err = errors.Join(err, fmt.Errorf("disk_alarm_min %g: choose 0 to %d min", r.DiskMin, MaxDiskMin))
	}
	if strings.TrimSpace(r.Scene) == "" {
		err = errors.Join(err, errors.New("scene: give it a name or number"))
	}
	return errors.Join(err, oneOf("encoding", r.Encoding, Encodings[:]...),
		checkTexts(maxText, r.Scene, r.Names), checkTexts(maxPath, r.Dir))
}
