package presets

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"rollready/presets/whole"
)

// Errors on which a caller may decide.
var (
	ErrNotFound = errors.New("there is none of that name")
	ErrExists   = errors.New("the name is taken")
)

// SetAsideError says that a file could not be read and now lies beside itself
// under another name, so that nothing is lost.
type SetAsideError struct {
	Path    string // where it was
	MovedTo string // where it is; "" if it could not be moved
	Cause   error
}

// Error is one line for the user.
func (e *SetAsideError) Error() string {
	cause := strings.ReplaceAll(e.Cause.Error(), "\n", "; ")
	if e.MovedTo == "" {
		return fmt.Sprintf("%s can't be read (%s) nor be moved out of the way: move it yourself", e.Path, cause)
	}
	return fmt.Sprintf("%s can't be read (%s): it is kept as %s", e.Path, cause, e.MovedTo)
}

// Unwrap gives the cause.
func (e *SetAsideError) Unwrap() error { return e.Cause }

// NewerError says that a file was written by a newer program. It is left as
// it is.
type NewerError struct {
	Path    string
	Version int
}

// Error is one line for the user.
func (e *NewerError) Error() string {
	return fmt.Sprintf("%s has version %d and this program knows %d: use the newer program, or another --config folder", e.Path, e.Version, version)
}

// setAside moves an unreadable file to the first free name beside it.
func setAside(path string, cause error) error {
	e := &SetAsideError{Path: path, Cause: cause}
	for n := range 1000 {
		to := fmt.Sprintf("%s.unreadable-%d", path, n+1)
		err := whole.Move(path, to)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err == nil {
			e.MovedTo = to
		}
		return e
	}
	return e
}
