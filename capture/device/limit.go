package device

import (
	"errors"
	"time"
)

// Time limits on calls into the sound system, and the shape of its buffers.
const (
	connectLimit = 2 * time.Second
	callLimit    = 3 * time.Second
	closeLimit   = 700 * time.Millisecond

	periodMS       = 10
	steadyPeriodMS = 100 // where nobody waits for the sound
	periods        = 8
)

// ErrHung means that the sound system did not answer in time.
var ErrHung = errors.New("the sound system does not answer: restart it, or log out and in again")

// within runs f on a goroutine of its own and waits for it so long. If it
// takes longer, ErrHung comes back at once, onHang runs, and late runs should
// f succeed after all.
func within(limit time.Duration, f func() error, late func(), onHang ...func()) error {
	result, gaveUp := make(chan error), make(chan struct{})
	go func() {
		err := f()
		select {
		case result <- err:
		case <-gaveUp:
			if err == nil && late != nil {
				late()
			}
		}
	}()
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case err := <-result:
		return err
	case <-timer.C:
		for _, do := range onHang {
			do()
		}
		close(gaveUp)
		return ErrHung
	}
}
