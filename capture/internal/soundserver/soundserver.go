// Package soundserver is a connection to the sound server that speaks
// PulseAudio's protocol; PipeWire answers to it too. It wraps a library's
// client so that a server which hangs, hangs up or breaks the protocol is an
// error and no more.
package soundserver

import (
	"errors"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/jfreymuth/pulse/proto"

	"rollready/capture/rescue"
)

// callLimit bounds each exchange with the server.
const callLimit = time.Second

// Conn is a connection. One goroutine at a time may ask.
type Conn struct {
	*guard
	client *proto.Client
}

var errNone = errors.New("no sound server answers")

// Connect takes the first server that answers, as PULSE_SERVER names them.
// Sound goes to told, which may be nil, as a *proto.DataPacket on the
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
	return introduced(conn, told)
}

func introduced(conn net.Conn, told func(message any)) (*Conn, error) {
	c := &Conn{newGuard(conn), &proto.Client{Callback: told}}
	c.client.SetTimeout(callLimit)
	c.client.Open(c.guard)
	if err := c.introduce(); err != nil {
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
// server that hangs or has gone.
func (c *Conn) Request(ask proto.RequestArgs, reply proto.Reply) error {
	_ = c.SetWriteDeadline(time.Now().Add(callLimit)) // fails only where all has ended
	c.expect(reply, c.client.Version().Version())
	answer := make(chan error, 1)
	go func() { answer <- rescue.Try(func() error { return c.client.Request(ask, reply) }) }()
	select {
	case err := <-answer:
		return err
	case <-c.ended:
		return c.why
	}
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
