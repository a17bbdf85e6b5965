//go:build unix

package terminal

import (
	"os"
	"os/signal"
	"syscall"
)

// Resized calls back when the terminal has another size, until stop is closed.
// Of many changes that come together it tells the last.
func (t *Terminal) Resized(stop <-chan struct{}, tell func(w, h int)) {
	changed := make(chan os.Signal, 1)
	signal.Notify(changed, syscall.SIGWINCH)
	defer signal.Stop(changed)
	for {
		if w, h, err := t.Size(); err == nil {
			tell(w, h)
		}
		select {
		case <-changed:
		case <-stop:
			return
		}
	}
}
