package share

import (
	"net"
	"sync"
	"sync/atomic"

	"golang.org/x/time/rate"
)

// limited turns connections away, before anything is read of them, where too
// many are open or come at once.
type limited struct {
	net.Listener
	rate *rate.Limiter
	open atomic.Int32
}

func limit(l net.Listener) *limited {
	return &limited{Listener: l, rate: rate.NewLimiter(perSecond, atOnce)}
}

// Accept gives the next connection that may come in.
func (l *limited) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if l.open.Add(1) <= maxConnections && l.rate.Allow() {
			return &counted{Conn: c, left: func() { l.open.Add(-1) }}, nil
		}
		l.open.Add(-1)
		c.Close()
	}
}

// counted is a connection that counts until it is closed.
type counted struct {
	net.Conn
	once sync.Once
	left func()
}

// Close ends it.
func (c *counted) Close() error {
	c.once.Do(c.left)
	return c.Conn.Close()
}
