//go:build unix

package quiet

import (
	"fmt"
	"os"
	"runtime/debug"

	"golang.org/x/sys/unix"
)

// standardError keeps the first os.Stderr alive: collected as garbage it would
// close file descriptor 2, and the next file opened would get the chatter.
var standardError = os.Stderr

// Stderr sends everything that foreign code writes to file descriptor 2 to
// the file at path, emptied first; "" throws it away. So goes what Go libraries
// say to the standard logger. What goes to os.Stderr still reaches the user, and
// so does the trace of a Go panic. Call it once, at the start of main, before any device is touched.
// On error nothing has changed.
func Stderr(path string) error {
	if path == "" {
		path = os.DevNull
	}
	sink, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC|os.O_APPEND, 0o600)
	if err != nil {
		return fmt.Errorf("open the file for library messages: %w", err)
	}
	defer sink.Close()
	fd, err := unix.FcntlInt(standardError.Fd(), unix.F_DUPFD_CLOEXEC, 3)
	if err != nil {
		return fmt.Errorf("copy standard error: %w", err)
	}
	own := os.NewFile(uintptr(fd), standardError.Name())
	if err := unix.Dup2(int(sink.Fd()), int(standardError.Fd())); err != nil {
		own.Close()
		return fmt.Errorf("redirect standard error: %w", err)
	}
	os.Stderr = own
	return debug.SetCrashOutput(own, debug.CrashOptions{})
}
