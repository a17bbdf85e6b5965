//go:build !windows

package take

import (
	"errors"
	"io/fs"
	"path/filepath"

	"golang.org/x/sys/unix"
)

// DiskFree gives the bytes a user may still write in a folder, or in the
// nearest one above it that exists.
func DiskFree(dir string) (int64, error) {
	var s unix.Statfs_t
	err := unix.Statfs(dir, &s)
	if errors.Is(err, fs.ErrNotExist) && filepath.Dir(dir) != dir {
		return DiskFree(filepath.Dir(dir))
	}
	if err != nil {
		return 0, err
	}
	return int64(s.Bavail) * int64(s.Bsize), nil
}
