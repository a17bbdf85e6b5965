// Package door opens the addresses at which other machines may ask: of this
// machine alone unless an address of it is given.
package door

import (
	"fmt"
	"net"
)

// Listen listens at an address, such as "9184" for this machine only or
// "192.0.2.7:9184" for the network that address is on. The error begins with
// what listens there, and says what to give.
func Listen(what, address string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		host, port = "", address
	}
	if host == "" {
		host = "127.0.0.1"
	}
	if n, err := net.LookupPort("tcp", port); err != nil || port == "" || n == 0 && port != "0" {
		return nil, fmt.Errorf("%s at %q: give a port, such as 9184, or an address of this machine and a port", what, address)
	}
	l, err := net.Listen("tcp", net.JoinHostPort(host, port))
	if err != nil {
		return nil, fmt.Errorf("%s at %s: %w", what, address, err)
	}
	return l, nil
}
