package presets

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// maxFile bounds what is read: no file of ours comes near.
const maxFile = 1 << 20

// tempSuffix marks files that are being written. They begin with a dot, as no
// preset's name may.
const tempSuffix = ".tmp"

// writeWhole makes path hold raw, all of it or none: readers and a crash see
// the old file or the new one. With fresh it fails where path exists.
func writeWhole(path string, raw []byte, fresh bool) (err error) {
	temp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*"+tempSuffix)
	if err != nil {
		return err
	}
	defer func() { // after a rename there is nothing left to remove
		if e := os.Remove(temp.Name()); err == nil && !errors.Is(e, fs.ErrNotExist) {
			err = e
		}
	}()
	_, errWrite := temp.Write(raw)
	// Without the sync a crash may find the new name on an empty file.
	if err := errors.Join(errWrite, temp.Sync(), temp.Close()); err != nil {
		return err
	}
	if kept, err := readBounded(temp.Name()); err != nil || !bytes.Equal(kept, raw) {
		return fmt.Errorf("write %s: the disk does not give back what was written", path)
	}
	if fresh {
		err = publishNew(temp.Name(), path)
	} else {
		err = os.Rename(temp.Name(), path)
	}
	if err == nil {
		syncDir(filepath.Dir(path))
	}
	return err
}

// publishNew gives the file its name unless that is taken. A link does both
// at once; where the file system has none, there is a moment between.
func publishNew(temp, path string) error {
	err := os.Link(temp, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist
	}
	return os.Rename(temp, path)
}

// moveNew moves a file to a name that must be free. Between the two steps
// another program may have written the old name anew: that is not removed.
func moveNew(from, to string) error {
	if err := publishNew(from, to); err != nil {
		return err
	}
	if sameFile(from, to) {
		return os.Remove(from)
	}
	return nil
}

func sameFile(a, b string) bool {
	x, errX := os.Lstat(a)
	y, errY := os.Lstat(b)
	return errX == nil && errY == nil && os.SameFile(x, y)
}

// syncDir makes a rename last. Some systems can't sync a folder; there the
// rename lasts by itself or nothing helps.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}

func readBounded(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err == nil && len(raw) > maxFile {
		err = errors.New("the file is larger than 1 MiB")
	}
	return raw, err
}

// sweep removes what a crash left half-written. Younger files may belong to
// another program at work.
func sweep(dir string) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !strings.HasPrefix(e.Name(), ".") || !strings.HasSuffix(e.Name(), tempSuffix) {
			continue
		}
		if time.Since(info.ModTime()) > time.Hour {
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
