package take

import (
	"errors"
	"io/fs"
	"path/filepath"

	"golang.org/x/sys/windows"
)

// DiskFree gives the bytes a user may still write in a folder, or in the
// nearest one above it that exists.
func DiskFree(dir string) (int64, error) {
	path, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, err
	}
	var free uint64
	err = windows.GetDiskFreeSpaceEx(path, &free, nil, nil)
	if errors.Is(err, fs.ErrNotExist) && filepath.Dir(dir) != dir {
		return DiskFree(filepath.Dir(dir))
	}
	return int64(free), err
}
