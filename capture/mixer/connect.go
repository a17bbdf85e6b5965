package mixer

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

// connection is one to the server. One goroutine at a time uses it.
type connection struct {
	net.Conn
	client *proto.Client
}

var errNoServer = errors.New("no sound server tells its volumes")

// connect takes the first server that answers, as PULSE_SERVER names them.
func connect() (*connection, error) {
	err := errNoServer
	for _, a := range addresses() {
		var c *connection
		if c, err = open(a[0], a[1]); err == nil {
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

func open(network, address string) (*connection, error) {
	conn, err := net.DialTimeout(network, address, callLimit)
	if err != nil {
		return nil, err
	}
	c := &connection{conn, &proto.Client{}}
	c.client.SetTimeout(callLimit)
	c.client.Open(ending{conn})
	var version proto.AuthReply
	err = c.request(&proto.Auth{Version: c.client.Version(), Cookie: cookie()}, &version)
	if err == nil {
		c.client.SetVersion(version.Version)
		err = c.request(&proto.SetClientName{Props: proto.PropList{
			"application.name":       proto.PropListString("rollready"),
			"application.process.id": proto.PropListString(strconv.Itoa(os.Getpid())),
		}}, &proto.SetClientNameReply{})
	}
	if err != nil {
		c.Close()
		return nil, err
	}
	return c, nil
}

// end lets go of the connection, if there is one.
func (c *connection) end() {
	if c != nil {
		c.Close()
	}
}

// request waits for the reply, but not for a server that hangs.
func (c *connection) request(ask proto.RequestArgs, reply proto.Reply) error {
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
type ending struct{ net.Conn }

// Read comes back with bytes or not at all.
func (e ending) Read(b []byte) (int, error) {
	n, err := e.Conn.Read(b)
	if n == 0 && err != nil {
		runtime.Goexit()
	}
	return n, nil
}
