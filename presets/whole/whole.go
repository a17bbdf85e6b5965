// Package whole writes and moves files so that readers, a crash and a power
// cut find the old file or the new one, whole.
package whole

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// tempSuffix marks files that are being written. They also begin with a dot.
const tempSuffix = ".tmp"

// ErrNoName means that the path to write is empty.
var ErrNoName = errors.New("the file has no name: give it one")

// NoFolder says that the folder of a file to write is not there; nil if it is.
func NoFolder(path string) error {
	dir := filepath.Dir(path)
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	return fmt.Errorf("there is no folder %s: make it first", dir)
}

// Named puts the name that was asked for into an error about the temporary
// file, which nobody knows.
func Named(err error, path string) error {
	var of *fs.PathError
	if errors.As(err, &of) {
		if missing := NoFolder(path); missing != nil {
			return fmt.Errorf("write %s: %w", path, missing)
		}
		return &fs.PathError{Op: of.Op, Path: path, Err: of.Err}
	}
	return err
}

// Write makes path hold raw, with these permissions, all of it or none. What
// the path held before is replaced.
func Write(path string, raw []byte, perm fs.FileMode) error {
	return write(path, raw, perm, os.Rename)
}

// Create does the same for a path that must be free, else it gives fs.ErrExist.
func Create(path string, raw []byte, perm fs.FileMode) error {
	return write(path, raw, perm, publishNew)
}

func write(path string, raw []byte, perm fs.FileMode, publish func(temp, path string) error) (err error) {
	if path == "" {
		return ErrNoName
	}
	temp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*"+tempSuffix)
	if err != nil {
		return Named(err, path)
	}
	defer func() { // after a rename there is nothing left to remove
		if e := os.Remove(temp.Name()); err == nil && !errors.Is(e, fs.ErrNotExist) {
			err = e
		}
	}()
	_, errWrite := temp.Write(raw)
	// Without the sync a crash may find the new name on an empty file.
	if err := errors.Join(errWrite, temp.Chmod(perm), temp.Sync(), temp.Close()); err != nil {
		return Named(err, path)
	}
	if kept, err := os.ReadFile(temp.Name()); err != nil || !bytes.Equal(kept, raw) {
		return fmt.Errorf("write %s: the disk does not give back what was written", path)
	}
	if err := publish(temp.Name(), path); err != nil {
		return err
	}
	return SyncFolder(filepath.Dir(path))
}

// publishNew gives the file its name unless that is taken. A link does both
// at once; where the file system has none, there is a moment between.
func publishNew(temp, path string) error {
	err := os.Link(temp, path)
	if err == nil || errors.Is(err, fs.ErrExist) || errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist
	}
	return os.Rename(temp, path)
}

// Move moves a file to a name that must be free, else it gives fs.ErrExist.
// Between the two steps another program may have written the old name anew:
// that is not removed.
func Move(from, to string) error {
	if err := publishNew(from, to); err != nil {
		return err
	}
	if Same(from, to) {
		if err := os.Remove(from); err != nil {
			return err
		}
	}
	return syncBoth(from, to)
}

// Replace moves a file to a name, of which it takes the place.
func Replace(from, to string) error {
	if err := os.Rename(from, to); err != nil {
		return err
	}
	return syncBoth(from, to)
}

// syncBoth makes the new name last before the old one's end does.
func syncBoth(from, to string) error {
	err := SyncFolder(filepath.Dir(to))
	if err != nil || filepath.Dir(from) == filepath.Dir(to) {
		return err
	}
	return SyncFolder(filepath.Dir(from))
}

// Folder makes a folder, and those above it where they are missing, so that a
// power cut does not take them away with all that was written into them.
func Folder(dir string) error {
	var above []string
	for at := filepath.Clean(dir); at != filepath.Dir(at); at = filepath.Dir(at) {
		if _, err := os.Lstat(at); err == nil {
			break
		}
		above = append(above, filepath.Dir(at))
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, d := range above {
		if err := SyncFolder(d); err != nil && !errors.Is(err, fs.ErrPermission) {
			return err
		}
	}
	return nil
}

// TempFolder makes a folder beside the one that it is to become, by Replace.
func TempFolder(path string) (string, error) {
	temp, err := os.MkdirTemp(filepath.Dir(path), "."+filepath.Base(path)+".*"+tempSuffix)
	if err != nil {
		return "", Named(err, path)
	}
	return temp, os.Chmod(temp, 0o755)
}

// Same tells whether two names are those of one file.
func Same(a, b string) bool {
	x, errX := os.Lstat(a)
	y, errY := os.Lstat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// SyncFolder makes new names safe against a power cut where the system can.
func SyncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	if err := f.Sync(); err != nil && !errors.Is(err, fs.ErrInvalid) && !errors.Is(err, errors.ErrUnsupported) {
		_ = f.Close()
		return ignoreFolderSync(err)
	}
	return f.Close()
}

// Sweep removes what a crash left half-written in a folder. Younger files may
// belong to another program at work.
func Sweep(dir string) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !strings.HasPrefix(e.Name(), ".") || !strings.HasSuffix(e.Name(), tempSuffix) {
			continue
		}
		if time.Since(info.ModTime()) > time.Hour {
			_ = os.RemoveAll(filepath.Join(dir, e.Name()))
		}
	}
}
