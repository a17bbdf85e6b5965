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
}

func formOfTakes(r Recording) takesForm {
	return takesForm{r.Dir, r.Scene, r.Encoding, !r.NoInput, r.Safety, r.PreRecordS}
}

func (f takesForm) recording() Recording {
	return Recording{Dir: f.Folder, Scene: f.Scene, Encoding: f.Encoding, NoInput: !f.InputTracks, Safety: f.SafetyTrack, PreRecordS: f.PreRecordS}
}

func (r Recording) check() error {
	var err error
	if !(r.PreRecordS >= 0 && r.PreRecordS <= MaxPreRecordS) {
		err = fmt.Errorf("pre_record_s %g: choose 0 to %d s", r.PreRecordS, MaxPreRecordS)
	}
	if strings.TrimSpace(r.Scene) == "" {
		err = errors.Join(err, errors.New("scene: give it a name or number"))
	}
	return errors.Join(err, oneOf("encoding", r.Encoding, Encodings[:]...),
		checkTexts(maxText, r.Scene), checkTexts(maxPath, r.Dir))
}
