package lines

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/mattn/go-isatty"
)

// IsTerminal tells whether a person sits at a stream.
func IsTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}

const (
	progressEvery = 100 * time.Millisecond
	progressBegin = 300 * time.Millisecond // what is done sooner needs none
	barWidth      = 30
)

// Progress keeps a line on a terminal, elsewhere nothing. stop takes it
// away; only its first call does something.
func Progress(w io.Writer, line func() string) (stop func()) {
	if !IsTerminal(w) {
		return func() {}
	}
	end, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		defer fmt.Fprint(w, "\r\x1b[K")
		for wait := progressBegin; ; wait = progressEvery {
			select {
			case <-end:
				return
			case <-time.After(wait):
				fmt.Fprintf(w, "\r\x1b[K%s", line())
			}
		}
	}()
	return sync.OnceFunc(func() { close(end); <-ended })
}

// Bar shows how much of a piece of work is done, and how long the rest
// will take.
func Bar(w io.Writer, what string, all int64) (show func(done int64), stop func()) {
	var done atomic.Int64
	begun := time.Now()
	return done.Store, Progress(w, func() string {
		share := min(1, float64(done.Load())/float64(max(1, all)))
		left := time.Duration(float64(time.Since(begun)) * (1 - share) / max(share, 1e-9))
		return fmt.Sprintf("%s  %s %3.0f %%  %s left", what, drawBar(share), 100*share, left.Round(time.Second))
	})
}

func drawBar(share float64) string {
	full := int(share * barWidth)
	return strings.Repeat("█", full) + strings.Repeat("·", barWidth-full)
}
