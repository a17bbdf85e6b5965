//go:build !windows

package bwf

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lock takes the file for this program until it is closed or the program
// ends. It does not wait: ErrBusy if another has it. File systems that know no
// locks let it pass; there the exclusive creation guards a new take.
func lock(f *os.File) error {
	err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	switch {
	case errors.Is(err, unix.EWOULDBLOCK):
		return ErrBusy
	case errors.Is(err, unix.ENOTSUP), errors.Is(err, unix.ENOLCK), errors.Is(err, unix.ENOSYS):
		return nil
	}
	return err
}
