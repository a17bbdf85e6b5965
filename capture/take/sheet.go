package take

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"rollready/capture/take/bwf"
	"rollready/presets/whole"
)

// sheetVersion is the form of what is kept beside a WAV.
const sheetVersion = 1

// maxSheetBytes bounds what is read of a sheet.
const maxSheetBytes = 4 << 20

// sheetPath is the place of what is known of a take.
func sheetPath(wav string) string { return strings.TrimSuffix(wav, filepath.Ext(wav)) + sheetExt }

// Save keeps what is known of a take beside its WAV: written whole, synced,
// renamed into place.
func Save(t Take) error {
	t.Version = sheetVersion
	raw, err := toml.Marshal(t)
	if err != nil {
		return fmt.Errorf("keep %s: %w", t.Path, err)
	}
	if err := whole.Write(sheetPath(t.Path), raw, 0o644); err != nil {
		return fmt.Errorf("keep %s: %w", sheetPath(t.Path), err)
	}
	return nil
}

// Load reads what is known of the take in a WAV: what is kept beside it, or,
// if there is nothing, what the file itself says. Where the two differ in
// length the file counts.
func Load(wav string) (Take, error) {
	info, errFile := bwf.Read(wav)
	t, errSheet := loadSheet(wav)
	switch {
	case errSheet == nil && errFile == nil && t.RateHz == info.Format.RateHz && len(t.Tracks) == info.Format.Channels:
		t.Frames = info.Frames
		return t, nil
	case errSheet == nil && errFile != nil && !errors.Is(errFile, fs.ErrNotExist):
		t.Frames = 0
		return t, errFile
	case errFile != nil:
		return Take{Path: wav}, errFile
	}
	t = fromFile(wav, info)
	if errors.Is(errSheet, fs.ErrNotExist) {
		return t, nil
	}
	return t, errSheet
}

func loadSheet(wav string) (Take, error) {
	path := sheetPath(wav)
	stat, err := os.Stat(path)
	if err != nil {
		return Take{}, err
	}
	if stat.Size() > maxSheetBytes {
		return Take{}, fmt.Errorf("read %s: too long; move it away", path)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return Take{}, err
	}
	var t Take
	if err := toml.Unmarshal(raw, &t); err != nil {
		return Take{}, fmt.Errorf("read %s: %w; mend or move it away", path, err)
	}
	if t.Version != sheetVersion {
		return Take{}, fmt.Errorf("read %s: version %d is not known here; use the program that wrote it", path, t.Version)
	}
	t.Path = wav
	t.Live = t.State == Rolling && bwf.Busy(wav)
	return t, nil
}

// fromFile makes a take out of what a WAV says of itself.
func fromFile(wav string, info bwf.Info) Take {
	t := Take{Path: wav, Scene: info.Meta.Scene, Note: info.Meta.Note, Circled: info.Meta.Circled, RoomTone: info.Meta.RoomTone,
		State: Ended, Started: info.Meta.Started, Frames: info.Frames, RateHz: info.Format.RateHz,
		Encoding: info.Encoding.String(), Tracks: info.Meta.Tracks, Markers: info.Markers, Levels: noLevels()}
	_, _ = fmt.Sscan(info.Meta.Take, &t.Number)
	if t.Scene == "" {
		t.Scene = strings.TrimSuffix(filepath.Base(wav), filepath.Ext(wav))
	}
	for len(t.Tracks) < info.Format.Channels {
		t.Tracks = append(t.Tracks, fmt.Sprintf("track %d", len(t.Tracks)+1))
	}
	return t
}

// Found is a take in a folder, or why it could not be read.
type Found struct {
	Take Take
	Err  error
}

// List gives the takes of a folder in the order they were made.
func List(dir string) ([]Found, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("list takes: %w", err)
	}
	var all []Found
	for _, e := range entries {
		if !e.Type().IsRegular() || !strings.EqualFold(filepath.Ext(e.Name()), extension) || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		t, err := Load(filepath.Join(dir, e.Name()))
		all = append(all, Found{t, err})
	}
	slices.SortStableFunc(all, func(a, b Found) int { return a.Take.Started.Compare(b.Take.Started) })
	return all, nil
}

// Change alters what is known of a finished take: its note, its circle. It is
// kept beside the WAV first and then, in place, in the WAV.
func Change(wav string, alter func(t *Take)) (Take, error) {
	t, err := Load(wav)
	if err == nil && t.Live {
		err = fmt.Errorf("change %s: %w", wav, bwf.ErrBusy)
	}
	if err != nil {
		return t, err
	}
	alter(&t)
	if err := Save(t); err != nil {
		return t, err
	}
	return t, bwf.Amend(wav, t.meta())
}
