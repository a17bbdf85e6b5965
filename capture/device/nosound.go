//go:build !cgo

package device

import (
	"errors"
	"sync/atomic"

	"rollready/capture"
)

// Without a C compiler the sound library is left out: this file stands in for
// malgo.go, so that all the rest can be checked for systems whose C headers
// are not at hand.

var errNoSound = errors.New("this program was built without sound (cgo was off): build it with a C compiler")

type host struct {
	backend string
	stuck   atomic.Bool
	opened  *atomic.Int64
}

func connect(string) (*host, error) { return nil, errNoSound }

func (*host) list(direction) ([]Info, error)            { return nil, errNoSound }
func (*host) detail(_ direction, of Info) (Info, error) { return of, errNoSound }
func (*host) streamName() string                        { return "" }
func (*host) hold()                                     {}
func (*host) release()                                  {}
func (*host) retire()                                   {}
func (*host) open(direction, Info, capture.Format, buffering, func([]float32)) (*stream, error) {
	return nil, errNoSound
}

type stream struct {
	name string
	hold *hold
	done chan struct{}
}

func (*stream) start() error { return errNoSound }
func (*stream) close() error { return nil }

type hold struct{}

func (*hold) wait(bool)                 {}
func (*hold) collect(int) (int64, bool) { return 0, false }
