package discord

import (
	"context"
	"crypto/ed25519"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"sync/atomic"
	"time"

	"golang.org/x/net/netutil"
	"golang.org/x/time/rate"
)

// Limits of the endpoint on strangers. The service itself sends little and
// quickly.
const (
	endpointConns = 1024
	replyPatience = 10 * time.Second // from the last header to the end of the answer
	idlePatience  = 90 * time.Second // the service and proxies keep connections
	headerMost    = 16 << 10
)

// Endpoint answers interactions that the service posts to it, each signed, in
// the place of a connection to the gateway. It listens from NewEndpoint on and
// answers from Run on.
//
// It keeps nothing between requests but which came lately, so any number of
// replicas may stand behind a balancer over one database. Behind the decoded
// interaction everything is as with the gateway: the same workers, the same
// handler, the same rules of time.
//
// Only a ping and suggestions are answered in the reply: a ping takes nothing
// else, and suggestions come with every key pressed, hold no file, and are
// never edited. Everything else is taken on with status 202 and answered by
// callback, because that tells whether the answer was taken: what the service
// refuses is answered again in plain words, a second delivery is known by the
// service's own code, edits and follow-ups come surely after the answer, and
// files have a documented form.
type Endpoint struct {
	*speaker
	cfg      settled
	pace     pace
	handler  *handler
	key      ed25519.PublicKey
	ln       net.Listener
	pair     *keyPair // nil: plain HTTP
	workers  *pool    // from Run on
	standing atomic.Pointer[error]
	// grumble lets one of many refused requests into the log as a warning.
	grumble rate.Sometimes
}

// NewEndpoint checks the configuration and begins to listen. Without a token
// the application's id must be known.
func NewEndpoint(cfg Config, desk Desk) (*Endpoint, error) {
	c, err := cfg.settleFor(cfg.ApplicationID == "")
	if err != nil {
		return nil, err
	}
	key, err := ParsePublicKey(c.PublicKey)
	if err != nil {
		return nil, err
	}
	var pair *keyPair
	if c.TLSCert != "" || c.TLSKey != "" {
		if pair, err = newKeyPair(c.TLSCert, c.TLSKey, c.Log, c.Now); err != nil {
			return nil, err
		}
	}
	ln, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return nil, fmt.Errorf("listen for interactions (http_listen): %w", err)
	}
	r := newREST(c)
	e := &Endpoint{
		speaker: newSpeaker(r), cfg: c, handler: newHandler(c, r, desk), key: key, ln: ln, pair: pair,
		grumble: rate.Sometimes{Interval: time.Minute},
	}
	e.keepPace(properPace(c.AnswerIn))
	e.standing.Store(&errNotBegun)
	return e, nil
}

// keepPace sets the times, before Run.
func (e *Endpoint) keepPace(p pace) { e.pace, e.handler.patience = p, p.one }

// Standing says what keeps the endpoint from answering: nil from when Run
// takes requests until it is told to end. It waits for nothing.
func (e *Endpoint) Standing() error {
	if why := e.standing.Load(); why != nil {
		return *why
	}
	return nil
}

// Addr is where it listens.
func (e *Endpoint) Addr() string { return e.ln.Addr().String() }

// Close gives the address back when Run is never called. It may be called
// after Run too.
func (e *Endpoint) Close() error {
	if err := e.ln.Close(); err != nil && !errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("close the endpoint: %w", err)
	}
	return nil
}

// Run answers until ctx ends, then takes no more, finishes what is under way,
// announced answers included, and returns nil. It returns an error for what
// waiting can't mend.
func (e *Endpoint) Run(ctx context.Context) error {
	defer e.rest.close()
	if err := e.learnApplication(ctx); err != nil || ctx.Err() != nil {
		return errors.Join(err, e.Close())
	}
	e.workers = newPool(e.cfg.Workers, e.handler.handle, e.handler.refuse, e.cfg.Log, e.cfg.Watch)
	drained := time.Now().Add(e.pace.drain)
	defer func() { e.workers.stop(max(time.Until(drained), 0)) }()
	e.announceSelf()
	e.standing.Store(nil)
	defer e.standing.Store(&errEnding)

	server := e.server()
	served := make(chan error, 1)
	go func() { served <- e.serve(server) }()
	select {
	case err := <-served:
		return fmt.Errorf("serve interactions: %w", err)
	case <-ctx.Done():
	}
	e.standing.Store(&errEnding)
	drained = time.Now().Add(e.pace.drain)
	patience, cancel := context.WithDeadline(context.WithoutCancel(ctx), drained)
	defer cancel()
	if err := server.Shutdown(patience); err != nil {
		_ = server.Close() // the connections that were left over
	}
	if err := <-served; !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve interactions: %w", err)
	}
	return nil
}

// learnApplication asks which application we are, where that was not set.
func (e *Endpoint) learnApplication(ctx context.Context) error {
	if e.handler.app != "" {
		return nil
	}
	app, err := patiently(ctx, e.pace, e.cfg.Log, e.rest.application)
	if err != nil {
		return fmt.Errorf("ask which application the token belongs to: %w", err)
	}
	e.handler.app = app.ID
	return nil
}

func (e *Endpoint) announceSelf() {
	log := e.cfg.Log.With("address", e.Addr(), "path", endpointPath, "tls", e.pair != nil)
	log.Info("answering signed interactions")
	if host, _, err := net.SplitHostPort(e.Addr()); e.pair == nil && (err != nil || !isLoopbackHost(host)) {
		log.Warn("this is plain HTTP for every machine that can reach the address: have a proxy in front that ends TLS, as the service posts to https only, or set http_tls_cert and http_tls_key")
	}
	if e.cfg.Token == "" {
		log.Warn("no bot token is set: reminders reach nobody and cards are not kept up to date; members are told so with the next thing they ask")
	}
}

func (e *Endpoint) server() *http.Server {
	s := &http.Server{
		Handler: e, ReadHeaderTimeout: e.pace.headers, ReadTimeout: e.pace.body, WriteTimeout: replyPatience,
		IdleTimeout: idlePatience, MaxHeaderBytes: headerMost, DisableGeneralOptionsHandler: true,
		// What strangers send at the port is no trouble of the operator's.
		ErrorLog: slog.NewLogLogger(e.cfg.Log.Handler(), slog.LevelDebug),
	}
	if e.pair != nil {
		s.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: e.pair.get}
	}
	return s
}

func (e *Endpoint) serve(s *http.Server) error {
	ln := netutil.LimitListener(e.ln, endpointConns)
	if e.pair != nil {
		return s.ServeTLS(ln, "", "")
	}
	return s.Serve(ln)
}
