//go:build !windows

package whole

import (
	"errors"

	"golang.org/x/sys/unix"
)

// ignoreFolderSync passes only errors that mean a broken disk: some file
// systems can't sync a folder and say so in different ways.
func ignoreFolderSync(err error) error {
	if errors.Is(err, unix.EIO) {
		return err
	}
	return nil
}
