package ops

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"

	"github.com/pourwright/pourwright/internal/serving"
)

// What one look may take, and how many at once. Only an operator's own tools
// come here, but nothing keeps others on the same network away.
const (
	headerPatience = 5 * time.Second
	readPatience   = 5 * time.Second
	writePatience  = 15 * time.Second
	idlePatience   = 2 * time.Minute
	endPatience    = 3 * time.Second
	headerMost     = 8 << 10
	atOnce         = 8
)

// Server answers at the operator's address. It listens from Listen on and
// answers from Run on.
type Server struct {
	metrics *Metrics
	ln      net.Listener
	log     *slog.Logger
	seats   chan struct{}
}

// Listen begins to listen at an address and nowhere else.
func Listen(addr string, m *Metrics, log *slog.Logger) (*Server, error) {
	ln, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("listen for health and metrics: %w", err)
	}
	return &Server{metrics: m, ln: ln, log: log, seats: make(chan struct{}, atOnce)}, nil
}

// Addr is where it listens.
func (s *Server) Addr() string { return s.ln.Addr().String() }

// Close gives the address back when Run is never called. It may be called
// after Run too.
func (s *Server) Close() error {
	if err := s.ln.Close(); err != nil && !errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("close health and metrics: %w", err)
	}
	return nil
}

// Run answers until ctx ends.
func (s *Server) Run(ctx context.Context) error {
	srv := &http.Server{
		Handler:           s.Handler(),
		ReadHeaderTimeout: headerPatience, ReadTimeout: readPatience,
		WriteTimeout: writePatience, IdleTimeout: idlePatience,
		MaxHeaderBytes: headerMost,
		ErrorLog:       slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	}
	if err := serving.Run(ctx, s.ln, srv, endPatience); err != nil {
		return fmt.Errorf("serve health and metrics: %w", err)
	}
	return nil
}

// Handler answers the three paths there are, and no other.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("/healthz", func(w http.ResponseWriter, _ *http.Request) { plainly(w, http.StatusOK, "ok\n") })
	mux.Handle("/readyz", s.seated(http.HandlerFunc(s.ready)))
	mux.Handle("/metrics", s.seated(promhttp.HandlerFor(s.metrics.registry, promhttp.HandlerOpts{
		ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn), ErrorHandling: promhttp.ContinueOnError, Timeout: writePatience - time.Second,
	})))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-store")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			plainly(w, http.StatusMethodNotAllowed, "only to be looked at\n")
			return
		}
		mux.ServeHTTP(w, r)
	})
}

// seated lets a bounded number in at once: each asks the database.
func (s *Server) seated(inner http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		select {
		case s.seats <- struct{}{}:
			defer func() { <-s.seats }()
			inner.ServeHTTP(w, r)
		default:
			plainly(w, http.StatusServiceUnavailable, "too many look at once\n")
		}
	})
}

// ready says how each part is; 503 while one is not ready.
func (s *Server) ready(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), checkPatience)
	defer cancel()
	text, ok := readiness(ctx, s.metrics.parts.Checks)
	code := http.StatusOK
	if !ok {
		code = http.StatusServiceUnavailable
	}
	plainly(w, code, text)
}

func plainly(w http.ResponseWriter, code int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(code)
	_, _ = io.WriteString(w, text) // whoever asked is gone
}
