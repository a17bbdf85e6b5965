package openmetrics

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"golang.org/x/net/netutil"
	"golang.org/x/time/rate"

	"rollready/capture/rescue"
	"rollready/capture/rig"
)

// Path is where the figures are.
const Path = "/metrics"

// Limits of the server: a scrape comes every few seconds from one place or two.
const (
	maxConnections = 8
	perSecond      = 10 // scrapes, all together
	patience       = 5 * time.Second
	maxHeader      = 4 << 10
)

// Server answers scrapes until it is closed.
type Server struct {
	http *http.Server
	at   net.Addr
}

// Listen answers at an address, such as "9184" for this machine only or
// "192.0.2.7:9184" for the network that address is on. state is called once a
// scrape; start starts the goroutine, as rescue.Rescue does (nil: go).
func Listen(address string, state func() rig.State, start func(f func())) (*Server, error) {
	at, err := where(address)
	if err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", at)
	if err != nil {
		return nil, fmt.Errorf("metrics at %s: %w", address, err)
	}
	s := &Server{at: l.Addr(), http: &http.Server{Handler: Handler(state), MaxHeaderBytes: maxHeader,
		ReadTimeout: patience, WriteTimeout: patience, IdleTimeout: 2 * time.Minute}}
	rescue.OrGo(start)(func() { _ = s.http.Serve(netutil.LimitListener(l, maxConnections)) })
	return s, nil
}

// where reads an address; without a host it is this machine only.
func where(address string) (string, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		host, port = "", address
	}
	if host == "" {
		host = "127.0.0.1"
	}
	if n, err := net.LookupPort("tcp", port); err != nil || port == "" || n == 0 && port != "0" {
		return "", fmt.Errorf("metrics at %q: give a port, such as 9184, or an address and a port", address)
	}
	return net.JoinHostPort(host, port), nil
}

// Address is where the server listens.
func (s *Server) Address() string { return s.at.String() }

// Close ends the server within about a second.
func (s *Server) Close() error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	if s.http.Shutdown(ctx) != nil {
		return s.http.Close()
	}
	return nil
}

// Handler answers GET of Path, and nothing else.
func Handler(state func() rig.State) http.Handler {
	registry := prometheus.NewRegistry()
	registry.MustRegister(collector{state})
	figures := promhttp.HandlerFor(registry, promhttp.HandlerOpts{EnableOpenMetrics: true, MaxRequestsInFlight: 2, Timeout: patience})
	limit := rate.NewLimiter(perSecond, perSecond)
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+Path, func(w http.ResponseWriter, r *http.Request) {
		if !limit.Allow() {
			http.Error(w, "too many scrapes", http.StatusTooManyRequests)
			return
		}
		figures.ServeHTTP(w, r)
	})
	return mux
}
