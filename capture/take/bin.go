package take

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"rollready/capture/take/bwf"
	"rollready/presets/whole"
)

// Deleted is what Delete moved away and Undo brings back.
type Deleted struct {
	Wav    string // where it was
	binned string
}

// Delete moves a take and what is known of it into a hidden folder beside it.
// Nothing is erased.
func Delete(wav string) (Deleted, error) {
	if bwf.Busy(wav) {
		return Deleted{}, fmt.Errorf("delete %s: %w", wav, bwf.ErrBusy)
	}
	bin := filepath.Join(filepath.Dir(wav), binFolder)
	if err := whole.Folder(bin); err != nil {
		return Deleted{}, fmt.Errorf("delete %s: %w", wav, err)
	}
	ext := filepath.Ext(wav)
	stem := strings.TrimSuffix(filepath.Base(wav), ext)
	for n := range 1000 {
		name := stem
		if n > 0 {
			name = fmt.Sprintf("%s~%d", stem, n)
		}
		binned := filepath.Join(bin, name+ext)
		err := movePair(wav, binned)
		if err == nil {
			return Deleted{wav, binned}, nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return Deleted{}, fmt.Errorf("delete %s: %w", wav, err)
		}
	}
	return Deleted{}, fmt.Errorf("delete %s: too many of that name are in %s; empty it", wav, bin)
}

// Bin gives the deleted takes of a folder in the order they were made.
func Bin(dir string) ([]Found, error) {
	found, err := List(filepath.Join(dir, binFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return found, err
}

// Undelete brings a deleted take back to its folder by the name of its file,
// with or without the ending, and gives its place. Where that name was given
// to another take meanwhile, it keeps the one it has among the deleted.
func Undelete(dir, name string) (wav string, err error) {
	found, err := Bin(dir)
	if err != nil {
		return "", err
	}
	for _, f := range found {
		binned := filepath.Base(f.Take.Path)
		if binned != name && strings.TrimSuffix(binned, filepath.Ext(binned)) != name {
			continue
		}
		places := []string{binned}
		if f.Take.Version > 0 { // of ours, whose names have no such number
			places = []string{numbered.ReplaceAllString(binned, "$1"), binned}
		}
		for _, back := range places {
			wav = filepath.Join(dir, back)
			if err = movePair(f.Take.Path, wav); !errors.Is(err, fs.ErrExist) {
				break
			}
		}
		if err != nil {
			err = fmt.Errorf("bring back %s: %w", wav, err)
		}
		return wav, err
	}
	return "", fmt.Errorf("no deleted take %q in %s: see rollready take list --deleted", name, dir)
}

// numbered is a name that Delete gave where there was one of the same.
var numbered = regexp.MustCompile(`~\d+(\.[^.]*)$`)

// Undo brings a deleted take back to where it was.
func Undo(d Deleted) error {
	if err := movePair(d.binned, d.Wav); err != nil {
		return fmt.Errorf("bring back %s: %w", d.Wav, err)
	}
	return nil
}

// movePair moves a WAV and its sheet, overwriting nothing.
func movePair(from, to string) error {
	if _, err := os.Lstat(sheetPath(to)); err == nil {
		return fs.ErrExist
	}
	if err := whole.Move(from, to); err != nil {
		return err
	}
	if err := whole.Move(sheetPath(from), sheetPath(to)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(err, whole.Move(to, from))
	}
	return nil
}
