package rescue

import (
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
)

// Try runs f and makes an error of its panic.
func Try(f func() error) (err error) {
	defer func() {
		if cause := recover(); cause != nil {
			err = fmt.Errorf("a mistake of the program's own: %v (%s)", cause, Place())
		}
	}()
	return f()
}

// Place names the file and line a panic came from, for the deferred function
// that recovers it.
func Place() string {
	var callers [32]uintptr
	frames := runtime.CallersFrames(callers[:runtime.Callers(0, callers[:])])
	panicking := false
	for {
		frame, more := frames.Next()
		if panicking && !strings.HasPrefix(frame.Function, "runtime.") {
			return fmt.Sprintf("%s:%d", filepath.Base(frame.File), frame.Line)
		}
		panicking = panicking || frame.Function == "runtime.gopanic"
		if !more {
			return "place unknown"
		}
	}
}
