// Package soundserver is a connection to the sound server that speaks
// PulseAudio's protocol; PipeWire answers to it too. It wraps a library's
// client so that a server which hangs or hangs up is an error and no more.
package soundserver

import (
	"errors"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

// callLimit bounds each exchange with the server.
const callLimit = time.Second

// Conn is a connection. One goroutine at a time may ask.
type Conn struct {
	net.Conn
	client *proto.Client
	ended  chan struct{}
}

var errNone = errors.New("no sound server answers")

// Connect takes the first server that answers, as PULSE_SERVER names them.
// What the server sends unasked goes to told, which may be nil, on the
// connection's reading goroutine.
func Connect(told func(message any)) (*Conn, error) {
	err := errNone
	for _, a := range addresses() {
		var c *Conn
		if c, err = open(a[0], a[1], told); err == nil {
			return c, nil
		}
	}
	return nil, err
}

// addresses are networks and addresses of servers. For the form of
// PULSE_SERVER see "Server Strings" in PulseAudio's documentation.
func addresses() (list [][2]string) {
	for _, s := range strings.Fields(os.Getenv("PULSE_SERVER")) {
		s = s[strings.LastIndex(s, "}")+1:] // "{machine}address"
		network, address, given := strings.Cut(s, ":")
		switch {
		case strings.HasPrefix(s, "/"):
			list = append(list, [2]string{"unix", s})
		case given && network == "unix":
			list = append(list, [2]string{"unix", address})
		case given && strings.HasPrefix(network, "tcp"):
			list = append(list, [2]string{network, address})
		}
	}
	if dir := os.Getenv("XDG_RUNTIME_DIR"); list == nil && dir != "" {
		list = append(list, [2]string{"unix", filepath.Join(dir, "pulse", "native")})
	}
	return list
}

func open(network, address string, told func(message any)) (*Conn, error) {
	conn, err := net.DialTimeout(network, address, callLimit)
	if err != nil {
		return nil, err
	}
	c := &Conn{conn, &proto.Client{Callback: told}, make(chan struct{})}
	c.client.SetTimeout(callLimit)
	c.client.Open(ending{conn, c.ended})
	if err = c.introduce(); err != nil {
		c.Close()
		return nil, err
	}
	return c, nil
}

// introduce shows the cookie and tells who we are.
func (c *Conn) introduce() error {
	var version proto.AuthReply
	if err := c.Request(&proto.Auth{Version: c.client.Version(), Cookie: cookie()}, &version); err != nil {
		return err
	}
	c.client.SetVersion(version.Version)
	return c.Request(&proto.SetClientName{Props: proto.PropList{
		"application.name":       proto.PropListString("rollready"),
		"application.process.id": proto.PropListString(strconv.Itoa(os.Getpid())),
	}}, &proto.SetClientNameReply{})
}

// Ended is closed when the connection has ended.
func (c *Conn) Ended() <-chan struct{} { return c.ended }

// Request waits for the reply, which is nil where none is due, but not for a
// server that hangs.
func (c *Conn) Request(ask proto.RequestArgs, reply proto.Reply) error {
	if err := c.SetWriteDeadline(time.Now().Add(callLimit)); err != nil {
		return err
	}
	return c.client.Request(ask, reply)
}

// cookie is the secret shared with the server. One that asks for none takes
// any of this length.
func cookie() []byte {
	path := os.Getenv("PULSE_COOKIE")
	if path == "" {
		if home, err := os.UserHomeDir(); err == nil {
			path = filepath.Join(home, ".config", "pulse", "cookie")
		}
	}
	if secret, err := os.ReadFile(path); err == nil {
		return secret
	}
	return make([]byte, 256)
}

// ending ends the library's reading goroutine with the connection. Were it
// given an error in the middle of a list, it would fill the memory with empty
// entries (v0.1.1); at any other place it calls back, and panics where nobody
// listens.
type ending struct {
	net.Conn
	ended chan struct{}
}

// Read comes back with bytes or not at all.
func (e ending) Read(b []byte) (int, error) {
	n, err := e.Conn.Read(b)
	if n == 0 && err != nil {
		close(e.ended)
		runtime.Goexit()
	}
	return n, nil
}
