package device

import (
	"errors"
	"time"

	"rollready/capture"
	"rollready/capture/rescue"
)

// Time limits on calls into the sound system, and the shape of its buffers.
const (
	connectLimit = 2 * time.Second
	callLimit    = 3 * time.Second
	closeLimit   = 700 * time.Millisecond

	periodMS = 10
	periods  = 8
)

// buffering is how much sound a device holds.
type buffering bool

const (
	prompt buffering = false // as little as goes well: somebody listens
	steady buffering = true  // plenty: nothing may break off, nobody waits
)

// steadyMS and steadyBytes bound a steady period. Of a playback stream
// PulseAudio is asked to hold one period, and its first filling is a single
// block of less than 64 KiB: were the period longer, it would wait for ever.
const (
	steadyMS    = 150
	steadyBytes = 60000
)

// periodMS gives the length of a period in milliseconds.
func (b buffering) periodMS(f capture.Format) int {
	if b == steady {
		return max(periodMS, min(steadyMS, 1000*steadyBytes/(4*f.Channels*f.RateHz)))
	}
	return periodMS
}

// ErrHung means that the sound system did not answer in time.
var ErrHung = errors.New("the sound system does not answer: restart it, or log out and in again")

// within runs f on a goroutine of its own and waits for it so long. If it
// takes longer, ErrHung comes back at once, onHang runs, and late runs should
// f succeed after all.
func within(limit time.Duration, f func() error, late func(), onHang ...func()) error {
	result, gaveUp := make(chan error), make(chan struct{})
	go func() {
		err := rescue.Try(f)
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
