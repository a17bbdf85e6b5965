package bwf

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lock takes the file for this program until it is closed or the program
// ends. It does not wait: ErrBusy if another has it. The locked byte lies far
// behind any file's end, because Windows keeps others from locked bytes.
func lock(f *os.File) error {
	far := &windows.Overlapped{OffsetHigh: 0x7FFFFFFF}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, far)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return ErrBusy
	}
	return err
}
