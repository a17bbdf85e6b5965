// Package share lets others look at the program from their own terminal, over
// SSH.
//
// A viewer is known by a public key that stands in a file; there are no
// passwords, and nobody is let in without a key. What a viewer gets is a
// picture, and the keys typed go to whoever draws it: there is no command to
// run, no file to reach, nothing to forward.
//
// # Who costs what
//
// Each viewer has goroutines of its own, and waits for its own terminal alone.
// The limits below bound what all of them together, and those who only knock,
// can take.
package share

import (
	"errors"
	"fmt"
	"io"
	"net"
	"sync/atomic"
	"time"

	"charm.land/ssh"
	gossh "golang.org/x/crypto/ssh"

	"rollready/capture/rescue"
	"rollready/capture/rig/door"
)

// Limits of the server.
const (
	MaxViewers     = 4
	maxConnections = 12 // viewers, and those who still have to show a key
	perSecond      = 5  // new connections, all together
	atOnce         = 24 // of them
	maxTries       = 3  // keys of one connection
	handshake      = 10 * time.Second
	idle           = 30 * time.Second // a viewer whose terminal takes nothing
	longest        = 24 * time.Hour
	maxColumns     = 400
	maxRows        = 200
)

// Size is that of a terminal in cells.
type Size struct{ Columns, Rows int }

// Viewer is somebody who looks, until Gone is closed.
type Viewer struct {
	Keys    io.Reader // what is typed
	Picture io.Writer // the terminal; a write waits for it
	Sizes   <-chan Size
	Env     []string // of the terminal, TERM with it
	Gone    <-chan struct{}
}

// Options is what Listen starts with.
type Options struct {
	Address string // a port for this machine only, or an address of it and a port
	HostKey string // file; it is made where there is none
	Keys    string // file of the public keys that may look, one a line
	Look    func(Viewer) error
	Go      func(f func()) // starts goroutines, as rescue.Rescue does; nil: go
}

// Server lets viewers in until it is closed.
type Server struct {
	ssh         *ssh.Server
	listener    net.Listener
	look        func(Viewer) error
	keys        string
	fingerprint string
	viewers     atomic.Int32
	start       func(f func())
}

// Listen begins to let viewers in. The error says what to do.
func Listen(o Options) (*Server, error) { return listen(o, idle) }

func listen(o Options, idle time.Duration) (_ *Server, err error) {
	l, err := door.Listen("share", o.Address)
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			_ = l.Close()
		}
	}()
	if allowed, err := readKeys(o.Keys); err != nil || len(allowed) == 0 {
		return nil, noKeys(o.Keys, err)
	}
	host, err := hostKey(o.HostKey)
	if err != nil {
		return nil, fmt.Errorf("share: host key: %w", err)
	}
	s := &Server{start: rescue.OrGo(o.Go), listener: limit(l), look: o.Look, keys: o.Keys, fingerprint: gossh.FingerprintSHA256(host.PublicKey())}
	s.ssh = &ssh.Server{Version: "rollready", HostSigners: []ssh.Signer{host}, Handler: s.serve, PublicKeyHandler: s.known,
		HandshakeTimeout: handshake, IdleTimeout: idle, MaxTimeout: longest,
		ServerConfigCallback:   func(ssh.Context) *gossh.ServerConfig { return &gossh.ServerConfig{MaxAuthTries: maxTries} },
		SessionRequestCallback: func(_ ssh.Session, request string) bool { return request == "shell" },
		ChannelHandlers:        map[string]ssh.ChannelHandler{"session": ssh.DefaultSessionHandler},
		RequestHandlers:        map[string]ssh.RequestHandler{},
		SubsystemHandlers:      map[string]ssh.SubsystemHandler{}}
	s.start(func() { _ = s.ssh.Serve(s.listener) })
	return s, nil
}

// Address is where the server listens.
func (s *Server) Address() string { return s.listener.Addr().String() }

// Fingerprint is the host key's, as a client shows it.
func (s *Server) Fingerprint() string { return s.fingerprint }

// Keys is the file of those who may look.
func (s *Server) Keys() string { return s.keys }

// Viewers is how many look now.
func (s *Server) Viewers() int { return int(s.viewers.Load()) }

// Close sends everybody away.
func (s *Server) Close() error { return s.ssh.Close() }

// known tells whether a key stands in the file now.
func (s *Server) known(_ ssh.Context, key ssh.PublicKey) bool {
	allowed, err := readKeys(s.keys)
	if err != nil {
		return false
	}
	for _, k := range allowed {
		if ssh.KeysEqual(k, key) {
			return true
		}
	}
	return false
}

var (
	errFull       = fmt.Errorf("there are %d viewers already: try again when one has left", MaxViewers)
	errNoTerminal = errors.New("this needs a terminal: ssh -t")
)

func (s *Server) serve(session ssh.Session) {
	if err := s.admit(session); err != nil {
		fmt.Fprintf(session.Stderr(), "rollready: %v\r\n", err)
		_ = session.Exit(1)
	}
}

// admit lets a viewer look until it leaves.
func (s *Server) admit(session ssh.Session) error {
	if s.viewers.Add(1) > MaxViewers {
		s.viewers.Add(-1)
		return errFull
	}
	defer s.viewers.Add(-1)
	pty, windows, ok := session.Pty()
	if !ok {
		return errNoTerminal
	}
	gone := session.Context().Done()
	v := Viewer{Keys: session, Picture: session, Sizes: s.sizes(windows, gone), Env: append(session.Environ(), "TERM="+pty.Term), Gone: gone}
	return rescue.Try(func() error { return s.look(v) })
}

// sizes passes the newest size on. windows is read to its end, or the
// connection would stand still.
func (s *Server) sizes(windows <-chan ssh.Window, gone <-chan struct{}) <-chan Size {
	out := make(chan Size, 1)
	s.start(func() {
		for {
			select {
			case <-gone:
				return
			case w, open := <-windows:
				if !open {
					return
				}
				select {
				case <-out: // nobody took it
				default:
				}
				out <- Size{min(max(w.Width, 0), maxColumns), min(max(w.Height, 0), maxRows)}
			}
		}
	})
	return out
}
