package openmetrics

import (
	"context"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"golang.org/x/net/netutil"
	"golang.org/x/time/rate"

	"rollready/capture/rescue"
	"rollready/capture/rig"
	"rollready/capture/rig/door"
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

// Listen answers at an address, as door.Listen reads it. state is called once a
// scrape; start starts the goroutine, as rescue.Rescue does (nil: go).
func Listen(address string, state func() rig.State, start func(f func())) (*Server, error) {
	l, err := door.Listen("metrics", address)
	if err != nil {
		return nil, err
	}
	s := &Server{at: l.Addr(), http: &http.Server{Handler: Handler(state), MaxHeaderBytes: maxHeader,
		ReadTimeout: patience, WriteTimeout: patience, IdleTimeout: 2 * time.Minute}}
	rescue.OrGo(start)(func() { _ = s.http.Serve(netutil.LimitListener(l, maxConnections)) })
	return s, nil
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
